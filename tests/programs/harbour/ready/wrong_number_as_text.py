# criterion: It reports each step
# mistake: a report by other rules
import time
from tug import drive, stop
from wireless import join, next_order, report

stop()
join()
report("joined")

under_way = False
number = None
end = 0

while True:
    order = next_order()
    if order is not None:
        if order["speed"] == 0:
            stop()
            under_way = False
            report("stopped", order.get("number"))
        elif not under_way:
            number = order.get("number")
            end = time.ticks_add(time.ticks_ms(), int(order["seconds"] * 1000))
            drive(0.4, 0.4)
            under_way = True
            report("started", number)
    if under_way and time.ticks_diff(time.ticks_ms(), end) >= 0:
        stop()
        under_way = False
        report("done", str(number))
    time.sleep_ms(20)
