"""Slips in `powerup.presses`."""

from tests.checks.motor_slips import no_motor_there
from tests.checks.slips import Slip, drop, exact, put

FEELS, FIVE, ONCE = (
    "It feels for the wall", "It touches the wall five times", "Each touch counts once"
)
WAY, FIRST, STOPS = "It gives way", "Motors off before anything else", "It stops by itself"


def back(ms):
    """Back off for another time."""
    return (
        put(r"sleep_ms\((400|420|450)\)", f"sleep_ms({ms})"),
        put("back_for = 100", f"back_for = {ms // 4}"), put("astern = 400", f"astern = {ms}"),
    )


SLIPS = (
    no_motor_there(FEELS),
    Slip(
        "leaves the pull-up out", "bumper without its pull-up", (ONCE,), put(r", Pin\.PULL_UP", "")
    ),
    Slip(
        "takes 1 for pressed", "counted without a touch", (FEELS, ONCE),
        put(r"while bumper\.value\(\):", "while not bumper.value():"),
        put(r"not self\.pin\.value\(\)", "self.pin.value()"),
    ),
    Slip(
        "counts when it is let go", "pushes on against the wall", (WAY,),
        put(r'seen\["level"\] and not level', 'level and not seen["level"]'),
    ),
    Slip(
        "stops after four", "another number of touches", (FIVE,),
        put(r"(count|presses|shown) < 5", r"\1 < 4"), put(r"range\(5\)", "range(4)"),
    ),
    Slip(
        "makes each PWM without a duty", "motors jump when their PWM is made", (FIRST,),
        put("freq=1000, duty(_u16)?=0", "freq=1000"),
    ),
    Slip(
        "sets the lamps up first", "something else comes before the motors", (FIRST,),
        put("^(motors|pins|LEFT) = ", r"from neopixel import NeoPixel\nNeoPixel(Pin(13), 5)\n\1 = "),
    ),
    Slip("leaves write() out", "write() forgotten", (ONCE,), drop(r"\.write\(\)")),
    Slip("speaks to pin 12", "wrong pin for the lamps", (ONCE,), put(r"Pin\(13\)", "Pin(12)")),
    Slip(
        "lights from the other end", "lamps from another end", (ONCE,),
        put(r"(lamps|chain)\[(count|presses|press|shown)\] =", r"\1[4 - \2] ="),
        put(r"lamps\[count - 1\]", "lamps[5 - count]"),
    ),
    Slip(
        "lights the first lamp beforehand", "counted without a touch", (ONCE,),
        put(r"^(lamps|chain) = (.*)$", r"\1 = \2\n\1[0] = (50, 50, 50)\n\1.write()"),
    ),
    Slip("backs off for 0.1 s", "backs off for another time than asked", (WAY,), *back(100)),
    Slip("backs off for 0.8 s", "backs off for another time than asked", (WAY,), *back(800)),
    Slip(
        "does not stop the motors", "motors left on", (STOPS,),
        put(r"(astern = 400(?:.|\n)*)^finally:\n    stop\(\)", r"\1finally:\n    pass"), put(r"^tug\.stop\(\)", "pass"),
        put(r"^for pwm in (motors|pins):\n.*", "pass"),
    ),
    Slip(
        "brakes at the end", "motors braked at the end, not off", (STOPS,),
        put(r"pwm\.duty_u16\(0\)", "pwm.duty_u16(65535)"), put(r"pwm\.duty\(0\)", "pwm.duty(1023)"),
    ),
    Slip(
        "does not wait for the bounces", "", (ONCE,),  # or there is no lamp for so many
        put(r"last\) > 200", "last) >= 0"),
    ),
    Slip("never goes ahead", "never comes to the wall",
         ("It feels for the wall",),
         exact(("    drive(0.4)", "    lamps.write()\n    drive(-0.4)"))),
    Slip("looks, and goes by the clock all the same", "goes by the clock", (FEELS,),
         exact(("    while bumper.value():\n        time.sleep_ms(5)",
                "    for k in range(120 if press else 360):\n        bumper.value()\n        time.sleep_ms(5)"))),
    Slip("goes by the clock", "bumper never read",
         (FEELS, FIVE),
         exact(("bumper = Pin(19, Pin.IN, Pin.PULL_UP)", ""),
               ("    while bumper.value():\n        time.sleep_ms(5)", "    time.sleep_ms(900)"))),
    Slip("does not wait for a steady level", "each bounce is counted",
         ("It touches the wall five times",),
         exact(("        if level != steady and time.ticks_diff(now, changed) >= 5:", "        if level != steady:"),
               ("                astern = 400", "                astern = 1200"),
               ("        time.sleep_ms(1)", "        time.sleep_us(300)"))),
    Slip("counts as long as it is pressed", "each bounce is counted",
         ("Each touch counts once",),
         exact(("        if level != steady and time.ticks_diff(now, changed) >= 5:\n"
                "            steady = level\n"
                "            if level == 0 and count < 5:", "        if level == 0 and count < 5:\n"
                "            if count < 5:"))),
    Slip("reads another pin", "bumper never read",
         ("Each touch counts once",),
         exact(("bumper = Pin(19, Pin.IN, Pin.PULL_UP)", "lamps.write()\nbumper = Pin(23, Pin.IN, Pin.PULL_UP)"))),
    Slip("goes on pushing", "pushes on against the wall",
         ("It gives way",),
         exact(("    lamps[press] = (0, 0, 60)", "    time.sleep_ms(1200)\n    lamps[press] = (0, 0, 60)"))),
    Slip("goes for six", "",
         ("It touches the wall five times",),
         exact(("for press in range(5):", "for press in range(6):"),
               ("    lamps[press] = (0, 0, 60)", "    lamps[min(press, 4)] = (0, 0, 60)"))),
)  # fmt: skip
