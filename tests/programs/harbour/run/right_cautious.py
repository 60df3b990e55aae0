# Creeps, so that it cannot miss the bar; says aloud what it is about to do.
import time
from tug import arm, calibrate, drive, look, stop
from wireless import join, next_order, report

EFFORT = 0.52

stop()
time.sleep_ms(500)
join()
report("joined")
state = "waiting"
ready = False
last = strokes = side = 0
crossing = False
while True:
    order = next_order()
    if order and order["speed"] == 0:
        drive(0, 0)
        state = "docked" if state == "docked" else "waiting"
        report("stopped", order.get("number"))
        stop()
    elif order and state == "waiting":
        number = order.get("number")
        until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        report("started", number)
        print("stand clear")
        if not ready:
            calibrate()
            time.sleep_ms(200)
            ready = True
        state = "following"
    if state == "following":
        dark = look()
        total = sum(dark)
        if total > 2.2 and not crossing:
            strokes += 1
            print("stroke", strokes)
        crossing = total > 2.2
        if crossing and strokes == 1:
            side += dark[0] - dark[3]
        place = last
        if not crossing and total > 0.3:
            place = (18 * dark[0] + 6 * dark[1] - 6 * dark[2] - 18 * dark[3]) / total
        if strokes == 2 and min(dark) > 0.5:
            drive(0, 0)
            time.sleep_ms(500)
            stop()
            print("stand clear of the arm")
            for us, ms in ((1000, 1200), (2000, 600), (1500, 500)):
                arm(us if side > 0 else 3000 - us)
                time.sleep_ms(ms)
            report("done", number)
            state = "docked"
        elif time.ticks_diff(until, time.ticks_ms()) <= 0:
            stop()
            report("stopped", number)
            state = "waiting"
        else:
            turn = 0.02 * place + 0.03 * (place - last)
            last = place
            drive(EFFORT - turn, EFFORT + turn)
    time.sleep_ms(20)
