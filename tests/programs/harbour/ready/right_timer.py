import time
from machine import Timer
from tug import drive, stop
from wireless import join, next_order, report

stop()
clock = Timer(0)
over = []
number = None
going = False


def ended(timer):
    stop()
    over.append(number)


join()
report("joined")
while True:
    order = next_order()
    if order and order["speed"] == 0:
        clock.deinit()
        stop()
        del over[:]
        going = False
        report("stopped", order.get("number"))
    elif order and not going:
        number = order.get("number")
        going = True
        drive(0.4, 0.4)
        clock.init(mode=Timer.ONE_SHOT, period=int(1000 * order["seconds"]), callback=ended)
        report("started", number)
    if over:
        going = False
        report("done", over.pop())
    time.sleep_ms(20)
