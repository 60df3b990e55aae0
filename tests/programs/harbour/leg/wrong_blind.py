# criterion: It follows the line to the bar
# criterion: It stops at the bar
# mistake: the eyes are not read
# Drives as long as it takes on its skipper's own tug, and reports as if it had seen the bar.
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
        until = None
        report("stopped", order.get("number"))
    elif order and until is None:
        number = order.get("number")
        until = time.ticks_add(time.ticks_ms(), 6000)
        drive(0.5, 0.5)
        report("started", number)
    if until is not None and time.ticks_diff(until, time.ticks_ms()) <= 0:
        stop()
        until = None
        report("done", number)
    time.sleep_ms(20)
