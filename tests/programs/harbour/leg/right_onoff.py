# On and off steering in three steps; always listening; no derivative.
import time
from tug import calibrate, drive, look, stop
from wireless import join, next_order, report

stop()
join()
report("joined")
state, strokes, crossing, side, calibrated = "waiting", 0, False, 0, False
while True:
    order = next_order()
    if order and order["speed"] == 0:
        stop()
        report("stopped", order.get("number"))
        if state == "following":
            state = "waiting"
    elif order and state == "waiting":
        number = order.get("number")
        report("started", number)
        until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        if not calibrated:
            calibrate()
            calibrated = True
        state = "following"
        drive(0.45, 0.45)
    if state == "following":
        shades = look()
        dark = [part > 0.5 for part in shades]
        seen = sum(shades)
        if seen > 2.2 and not crossing:
            strokes += 1
        crossing = seen > 2.2
        if crossing and strokes == 1:
            side += dark[0] - dark[3]
        if strokes == 2 and all(dark):
            drive(0, 0)
            time.sleep_ms(300)
            stop()
            report("done", number)
            state = "docked"
        elif time.ticks_diff(until, time.ticks_ms()) <= 0:
            stop()
            report("stopped", number)
            state = "waiting"
        elif not crossing:
            port, starboard = dark[0] + dark[1], dark[2] + dark[3]
            if dark[0]:
                drive(0.25, 0.6)
            elif dark[3]:
                drive(0.6, 0.25)
            elif port > starboard:
                drive(0.37, 0.49)
            elif starboard > port:
                drive(0.49, 0.37)
            elif any(dark):
                drive(0.45, 0.45)
    time.sleep_ms(20)
