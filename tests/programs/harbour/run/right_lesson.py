import time
from tug import arm, calibrate, drive, look, stop
from wireless import join, next_order, report

EFFORT = 0.55
KP = 0.035
KD = 0.001

# As leg.py; on the first stroke note the side, at the second brake, swing, and report done.
def knock(to_port):
    far, near = (1000, 2000) if to_port else (2000, 1000)
    for us, ms in ((far, 1000), (near, 500), (1500, 400)):
        arm(us)
        time.sleep_ms(ms)


stop()
join()
report("joined")
state, number, until = "waiting", None, 0
calibrated = crossing = False
strokes = last = side = 0
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
        if crossing and strokes == 1:
            side += dark[0] - dark[3]
        if strokes == 2 and min(dark) > 0.5:
            drive(0, 0)
            time.sleep_ms(300)
            stop()
            knock(side > 0)
            report("done", number)
            state = "docked"
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
