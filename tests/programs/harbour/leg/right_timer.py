import time
from machine import Timer
from tug import calibrate, drive, look, stop
from wireless import join, next_order, report

stop()
pilot = Timer(1)
told = []
last = strokes = side = 0
crossing = False


def steer(timer):
    global last, strokes, crossing, side
    dark = look()
    total = sum(dark)
    if total > 2.2 and not crossing:
        strokes += 1
    crossing = total > 2.2
    if crossing and strokes == 1:
        side += dark[0] - dark[3]
    if strokes == 2 and min(dark) > 0.5:
        drive(0, 0)
        pilot.deinit()
        told.append("bar")
        return
    place = last
    if not crossing and total > 0.3:
        place = (18 * dark[0] + 6 * dark[1] - 6 * dark[2] - 18 * dark[3]) / total
    turn = 0.035 * place + 0.001 * (place - last) / 0.02
    last = place
    drive(0.5 - turn, 0.5 + turn)


join()
report("joined")
state = "waiting"
calibrated = False
while True:
    order = next_order()
    if order and order["speed"] == 0:
        pilot.deinit()
        stop()
        report("stopped", order.get("number"))
        state = "waiting"
    elif order and state == "waiting":
        number = order.get("number")
        report("started", number)
        until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        if not calibrated:
            calibrate()
            calibrated = True
        state = "following"
        pilot.init(mode=Timer.PERIODIC, period=20, callback=steer)
    if state == "following" and told:
        told.pop()
        time.sleep_ms(300)
        stop()
        report("done", number)
        state = "docked"
    elif state == "following" and time.ticks_diff(until, time.ticks_ms()) <= 0:
        pilot.deinit()
        stop()
        report("stopped", number)
        state = "waiting"
    time.sleep_ms(20)
