# criterion: It waits for its orders
# criterion: It refuses bad orders
# mistake: a bad order is obeyed
import json
import time
from tug import drive, stop
import wireless
from wireless import join, next_order, report


def read(msg):
    order = json.loads(msg)
    if not isinstance(order, dict):
        raise ValueError("an order is an object")
    if not isinstance(order.get("speed"), (int, float)):
        raise ValueError("speed is a number")
    order["seconds"] = order.get("seconds", 2)
    return order


wireless._read = read
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
        report("done", number)
    time.sleep_ms(20)
