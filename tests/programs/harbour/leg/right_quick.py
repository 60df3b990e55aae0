import time
from tug import calibrate, drive, look, stop
from wireless import join, next_order, report
stop(); join(); report("joined")
go = cal = on = False
num = None; last = n = side = 0; until = None
while 1:
    o = next_order()
    if o and not o["speed"]: stop(); go = False; report("stopped", o.get("number"))
    elif o and not go and n < 2:
        num = o.get("number"); until = time.ticks_add(time.ticks_ms(), int(1000 * o["seconds"])); report("started", num)
        if not cal: calibrate(); cal = True
        go = True
    if go:
        d = look(); t = sum(d)
        if t > 2.2 and not on: n += 1
        on = t > 2.2
        if on and n == 1: side += d[0] - d[3]
        p = last if on or t < .3 else (18 * d[0] + 6 * d[1] - 6 * d[2] - 18 * d[3]) / t
        e = .36 if n == 1 else .75
        if n == 2 and min(d) > .5:
            drive(0, 0); time.sleep_ms(150); stop(); go = False
            report("done", num)
        elif time.ticks_diff(until, time.ticks_ms()) <= 0: stop(); go = False; report("stopped", num)
        else:
            s = .03 * p + .0008 * (p - last) / .01; last = p; drive(e - s, e + s)
    time.sleep_ms(10)
