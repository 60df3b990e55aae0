import time
from tug import drive, stop
from wireless import join, next_order, report

# Motors off, join, report. Then one loop: an order? its time over? sleep.
stop()
join()
report("joined")
state, number, until = "waiting", None, 0
while True:
    order = next_order()
    if order and order["speed"] == 0:
        stop()
        report("stopped", order.get("number"))
        state = "waiting"
    elif order and state == "waiting":
        number = order.get("number")
        until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        drive(0.5, 0.5)
        report("started", number)
        state = "driving"
    if state == "driving" and time.ticks_diff(until, time.ticks_ms()) <= 0:
        stop()
        report("done", number)
        state = "waiting"
    time.sleep_ms(20)
