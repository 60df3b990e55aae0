# criterion: It reports each step
# mistake: a stopped order is reported done
import time
from tug import drive, stop
from wireless import join, next_order, report

stop()
join()
report("joined")
number = until = None
while True:
    order = next_order()
    if order and order["speed"] == 0:
        stop()
        report("stopped", order.get("number"))
    elif order:
        number = order.get("number")
        until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        drive(0.4, 0.4)
        report("started", number)
    if until is not None and time.ticks_diff(until, time.ticks_ms()) <= 0:
        stop()
        until = None
        report("done", number)
    time.sleep_ms(20)
