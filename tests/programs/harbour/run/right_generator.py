import time
from tug import arm, calibrate, drive, look, stop
from wireless import join, next_order, report


def pause(ms):
    end = time.ticks_add(time.ticks_ms(), ms)
    while time.ticks_diff(end, time.ticks_ms()) > 0:
        yield


def leg():
    """The whole way, one round a step; may be left alone at any step."""
    last, strokes, crossing, lean = 0, 0, False, 0
    while True:
        dark = look()
        total = sum(dark)
        now = total > 2.2
        strokes += now and not crossing
        crossing = now
        if crossing and strokes < 2:
            lean += dark[0] - dark[3]
        if strokes == 2 and min(dark) > 0.5:
            break
        if crossing:
            place = last
        elif total > 0.3:
            place = (18 * (dark[0] - dark[3]) + 6 * (dark[1] - dark[2])) / total
        else:
            place = 24 if last > 0 else -24
        steer = 0.033 * place + 0.04 * (place - last)
        last = place
        drive(0.5 - steer, 0.5 + steer)
        yield
    drive(0, 0)
    yield from pause(300)
    stop()
    for us, ms in ((1000, 1100), (2000, 500), (1500, 400)):
        arm(us if lean > 0 else 3000 - us)
        yield from pause(ms)


stop()
join()
report("joined")
voyage, under_way, number, until = None, False, None, 0
while True:
    order = next_order()
    if order:
        if order["speed"] == 0:
            stop()
            under_way = False
            report("stopped", order.get("number"))
        elif not under_way:
            number = order.get("number")
            report("started", number)
            until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
            under_way = True
            if voyage is None:
                calibrate()
                voyage = leg()
    if under_way:
        if time.ticks_diff(until, time.ticks_ms()) <= 0:
            stop()
            under_way = False
            report("stopped", number)
        else:
            try:
                next(voyage)
            except StopIteration:
                under_way = False
                report("done", number)
    time.sleep_ms(20)
