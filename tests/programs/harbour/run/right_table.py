# Everything is a state, also calibrating and each position of the arm: never deaf.
import time
import tug
from tug import drive, look, stop
from wireless import join, next_order, report

v = {"last": 0, "strokes": 0, "crossing": False, "side": 0, "swings": 0, "calibrated": False}


def now():
    return time.ticks_ms()


def over(ms):
    return time.ticks_diff(now(), v["since"]) >= ms


def swing(left, right, ms, then):
    def act():
        drive(left, right)
        for k, eye in enumerate(tug._eyes):
            count = eye.read()
            tug.white[k] = min(tug.white[k], count)
            tug.black[k] = max(tug.black[k], count)
        return then if over(ms) else None
    return act


def follow():
    v["calibrated"] = True
    dark = look()
    total = sum(dark)
    if total > 2.2 and not v["crossing"]:
        v["strokes"] += 1
    v["crossing"] = total > 2.2
    if v["strokes"] == 1 and v["crossing"]:
        v["side"] += dark[0] - dark[3]
    if v["strokes"] == 2 and min(dark) > 0.5:
        drive(0, 0)
        return "brake"
    place = v["last"]
    if not v["crossing"] and total > 0.3:
        place = (18 * dark[0] + 6 * dark[1] - 6 * dark[2] - 18 * dark[3]) / total
    steer = 0.035 * place + 0.05 * (place - v["last"])
    v["last"] = place
    drive(0.48 - steer, 0.48 + steer)


def held(us, ms, then):
    def act():
        stop()
        tug.arm(us if v["side"] > 0 else 3000 - us)
        return then if over(ms) else None
    return act


def done():
    report("done", v["number"])
    return "docked"


STATES = {
    "waiting": lambda: None,
    "port": swing(-0.4, 0.4, 350, "starboard"),
    "starboard": swing(0.4, -0.4, 700, "back"),
    "back": swing(-0.4, 0.4, 350, "follow"),
    "follow": follow,
    "brake": lambda: ("wind" if over(300) else None),
    "wind": held(1000, 1000, "strike"),
    "strike": held(2000, 500, "stow"),
    "stow": held(1500, 400, "done"),
    "done": done,
    "docked": lambda: None,
}


def become(name):
    v["state"], v["since"] = name, now()


stop()
join()
report("joined")
become("waiting")
while True:
    order = next_order()
    if order and order["speed"] == 0:
        stop()
        if v["state"] != "docked":
            become("waiting")
        report("stopped", order.get("number"))
    elif order and v["state"] == "waiting":
        v["number"] = order.get("number")
        v["until"] = time.ticks_add(now(), int(1000 * order["seconds"]))
        report("started", v["number"])
        become("follow" if v["calibrated"] else "port")
    elif v["state"] not in ("waiting", "docked") and time.ticks_diff(v["until"], now()) <= 0:
        stop()
        become("waiting")
        report("stopped", v["number"])
    then = STATES[v["state"]]()
    if then:
        become(then)
    time.sleep_ms(10 if v["state"] in ("port", "starboard", "back") else 20)
