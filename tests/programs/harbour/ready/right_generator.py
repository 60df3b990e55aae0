import time
from tug import drive, stop
from wireless import join, next_order, report


def orders():
    while True:
        yield next_order()
        time.sleep_ms(15)


def watch():
    """Carry out one order after the other; takes what is heard, one item a round."""
    heard = yield
    while True:
        if heard is None:
            heard = yield
            continue
        if heard["speed"] == 0:
            report("stopped", heard.get("number"))
            heard = yield
            continue
        order = heard
        drive(0.45, 0.45)
        begin = time.ticks_ms()
        report("started", order.get("number"))
        while time.ticks_diff(time.ticks_ms(), begin) < 1000 * order["seconds"]:
            heard = yield
            if heard and heard["speed"] == 0:
                break
        stop()
        if heard and heard["speed"] == 0:
            report("stopped", heard.get("number"))
        else:
            report("done", order.get("number"))
        heard = yield


stop()
join()
report("joined")
crew = watch()
next(crew)
for heard in orders():
    crew.send(heard)
