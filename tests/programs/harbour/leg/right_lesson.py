import time
from tug import calibrate, drive, look, stop
from wireless import join, next_order, report

EFFORT = 0.5
KP = 0.035
KD = 0.001

# As ready.py; but state "following" looks, steers, counts the strokes, and brakes at the second.
stop()
join()
report("joined")
state, number, until = "waiting", None, 0
calibrated = crossing = False
strokes = last = 0
while True:
    order = next_order()
    if order and order["speed"] == 0:
        drive(0, 0)
        report("stopped", order.get("number"))
        state = "waiting"
    elif order and state == "waiting":
        number = order.get("number")
        report("started", number)
        if not calibrated:
            calibrate()
            calibrated = True
        until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        state = "following"
    if state == "following":
        dark = look()
        total = sum(dark)
        if total > 2.2 and not crossing:
            strokes += 1
        crossing = total > 2.2
        if strokes == 2 and min(dark) > 0.5:
            drive(0, 0)
            time.sleep_ms(300)
            stop()
            report("done", number)
            state = "arrived"
        elif time.ticks_diff(until, time.ticks_ms()) <= 0:
            stop()
            report("stopped", number)
            state = "waiting"
        else:
            if total < 0.3:
                position = 24 if last > 0 else -24
            elif crossing:
                position = last
            else:
                position = (18 * (dark[0] - dark[3]) + 6 * (dark[1] - dark[2])) / total
            steer = KP * position + KD * (position - last) / 0.02
            last = position
            drive(EFFORT - steer, EFFORT + steer)
    time.sleep_ms(20)
