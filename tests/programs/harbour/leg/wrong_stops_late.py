# criterion: It stops at the bar
# mistake: stops too late at the bar
import time
from tug import calibrate, drive, look, stop
from wireless import join, next_order, report

EFFORT = 0.5
KP = 0.035
KD = 0.001

stop()
join()
report("joined")
state = "waiting"
number = None
until = 0
calibrated = False
last = 0
strokes = 0
crossing = False

while True:
    order = next_order()
    if order and order["speed"] == 0:
        stop()
        report("stopped", order.get("number"))
        if state != "docked":
            state = "waiting"
    elif order and state == "waiting":
        number = order.get("number")
        report("started", number)
        until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        if not calibrated:
            calibrate()
            calibrated = True
        state = "following"

    if state == "following":
        dark = look()
        total = sum(dark)
        if total > 2.2:
            if not crossing:
                strokes += 1
            crossing = True
        else:
            crossing = False
        if crossing and strokes >= 2:
            time.sleep_ms(180)
            drive(0, 0)
            time.sleep_ms(300)
            stop()
            report("done", number)
            state = "docked"
        elif time.ticks_diff(until, time.ticks_ms()) <= 0:
            stop()
            report("stopped", number)
            state = "waiting"
        else:
            if crossing:
                position = last
            elif total < 0.3:
                position = 24 if last > 0 else -24
            else:
                position = (18 * dark[0] + 6 * dark[1] - 6 * dark[2] - 18 * dark[3]) / total
            steer = KP * position + KD * (position - last) / 0.02
            last = position
            drive(EFFORT - steer, EFFORT + steer)
    time.sleep_ms(20)
