"""Slips in `powerup.start`."""

from tests.checks.motor_slips import no_motor_there
from tests.checks.slips import Slip, drop, exact, put

UNDER_WAY, FIRST, HANDS = (
    "It gets under way", "Motors off before anything else", "Hands off for three seconds"
)
GENTLE, LAMP, BUMPER = "It starts gently", "Its lamp tells the state", "The bumper stops it"
CALLS, STOPS = "Then it calls for help", "It drives for about two seconds and stops"
MADE = r"^(motors|held|моторы) = "


def drives(seconds):
    """Drive for another time."""
    return (
        put(r"go\(2000\)", f"go({1000 * seconds:.0f})"),
        put(r"range\(200\)", f"range({100 * seconds:.0f})"),
        put(r"ход\(2200\)", f"ход({1000 * seconds:.0f})"),
    )


def effort(plain):
    """Drive with another effort, from the first step on."""
    return (
        put(r"ahead\(min\(.*\)\)$", f"ahead({plain})"),
        put(r"tug\.both\(.*\)$", f"tug.both({plain})"),
        put(r"effort = min\(0\.45, .*\)", f"effort = {plain}"),
        put(r"сила = min\(.*\)", f"сила = {int(65535 * plain)}"),
        put(r'min\(state\["effort"\] \+ 10, 430\)', f"{int(1023 * plain)}"),
    )


SLIPS = (
    Slip(
        "makes each PWM without a duty", "motors jump when their PWM is made", (FIRST,),
        put(r"\(Pin\(n\), freq=(1000|800), duty(_u16)?=0", r"(Pin(n), freq=\1"),
    ),
    Slip(
        "sets the lamps up first", "something else comes before the motors", (FIRST,),
        put(MADE, r"from neopixel import NeoPixel\nlamps = NeoPixel(Pin(13), 5)\n\1 = "),
    ),
    Slip(
        "prints first", "something else comes before the motors", (FIRST,),
        put(MADE, r"print('good morning')\n\1 = "),
    ),
    Slip(
        "waits for one second only", "drives before the three seconds are over", (HANDS,),
        put(r"time\.sleep\(3\)", "time.sleep(1)"), put(r"sleep_ms\(3050\)", "sleep_ms(1000)"),
        put(r"ждать\(3100\)", "ждать(1000)"),
    ),
    Slip("drives for 1.1 s", "stops too soon in open water", (STOPS,), *drives(1.1)),
    Slip("drives for 4 s", "drives too far", (STOPS,), *drives(4)),
    Slip("starts with full power", "starts too hard", (GENTLE,), *effort(1.0)),
    Slip("hardly pushes", "too little effort to start", (UNDER_WAY,), *effort(0.08)),
    Slip(
        "exchanges ahead and astern", "drives astern", (UNDER_WAY,),
        put(r"\(25, 26, 27, 14\)", "(26, 25, 14, 27)"),
    ),
    Slip(
        "does not look at the bumper", "the bumper does not stop it", (BUMPER,),
        put(r"if bumper\.value\(\) == 0:", "if False:"), put(r"if tug\.met:", "if False:"),
        put(r"        if not бампер\.value\(\):", "        if False:"), drop(r"bumper\.irq\("),
        put(r"if not switch\(\):", "if False:"),
    ),
    Slip(
        "does not look while it starts", "the bumper does not stop it", (BUMPER,),
        put(r"if bumper\.value\(\) == 0:", "if now > 900 and bumper.value() == 0:"),
        put(r"if tug\.met:", "if step > 90 and tug.met:"),
        put(r"if not switch\(\):", 'if state["effort"] > 420 and not switch():'),
    ),
    Slip(
        "leaves the pull-up out", "bumper without its pull-up", (UNDER_WAY,),
        put(r", Pin\.PULL_UP", ""),
    ),
    Slip(
        "takes 1 for pressed", "the bumper read upside down", (UNDER_WAY,),
        put(r"bumper\.value\(\) == 0", "bumper.value() == 1"),
        put(r"return not self\.bumper\.value\(\)", "return self.bumper.value()"),
        put(r"not бампер\.value", "бампер.value"), put(r"not switch\(\)", "switch()"),
    ),
    Slip(
        "calls nobody", "does not call for help", (CALLS,),
        put("^while (not well|stopped|беда):", "while False:"), drop(r"Timer\(1\)\.init"),
    ),
    Slip(
        "calls in any case", "calls for help although all is well", (CALLS,),
        put("^while (not well|stopped|беда):", "while True:"),
        put(r'^if state\["met"\]:', "if True:"),
    ),
    Slip(
        "blinks wildly", "blinks too fast", (CALLS,),
        put(r"sleep_ms\((250|300|220|200|260)\)", "sleep_ms(60)"), put("period=240", "period=60"),
    ),
    Slip("lights the stern", "wrong lamp", (LAMP,), put(r"(lamps|chain|огни)\[4\]", r"\1[3]")),
    Slip(
        "speaks to pin 12", "wrong pin for the lamps", (LAMP,), put(r"Pin\(13\)", "Pin(12)")
    ),
    Slip("leaves write() out", "write() forgotten", (LAMP,), drop(r"\.write\(\)")),
    Slip(
        "shows red for amber", "the lamp tells another state", (LAMP,),
        put(r"(\d+), (50|60|45|40), 0\b", r"\1, 0, 0"),
    ),
    Slip(
        "never shows white", "the lamp tells another state", (LAMP,),
        put(r"^(show|deck|палуба|deck\.show)\(\(?(WHITE|60, 60, 60|80, 80, 80|70, 70, 70|50, 50, 50)\)?\)$",
            "pass"),
    ),
    Slip(
        "does not stop the motors", "motors left on", (STOPS,),
        put(r"^finally:\n    stop\(\)", "finally:\n    pass"),
        put(r"pwm\.duty_u16\(0\)$", "pass"), put(r"^    стоп\(\)", "    pass"),
        put(r"^    for pwm in motors:\n        pwm\.duty\(0\)", "    pass"),
    ),
    Slip(
        "brakes at the end", "motors braked at the end, not off", (STOPS,),
        put(r"(pwm|мотор)\.duty_u16\(0\)", r"\1.duty_u16(65535)"),
        put(r"pwm\.duty\(0\)", "pwm.duty(1023)"),
    ),
    Slip("makes its motors without a duty", "motors jump when their PWM is made",
         ("Hands off for three seconds",),
         exact(("motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]", "motors = [PWM(Pin(n), freq=1000) for n in (25, 26, 27, 14)]\n"
                "for pwm in motors:\n"
                "    pwm.duty_u16(0)"))),
    Slip("does not drive", "the motors are never driven",
         ("It gets under way",),
         exact(("    well = go(2000)", "    well = True"))),
    Slip("sleeps while it drives", "the bumper does not stop it",
         ("The bumper stops it",),
         exact(("        ahead(min(0.45, 0.45 * now / 600))\n"
                "        time.sleep_ms(10)", "        ahead(0.45)\n        time.sleep_ms(1800)"))),
    Slip("sets up two pins only", "something else comes before the motors",
         ("Motors off before anything else",),
         exact(("motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]", "motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 27)]"),
               ("    for k in (0, 2):\n"
                "        motors[k].duty_u16(65535)\n"
                "        motors[k + 1].duty_u16(int(65535 * (1 - effort)))", "    for pwm in motors:\n"
                "        pwm.duty_u16(int(65535 * effort))"))),
    Slip("waits for 3 ms", "drives before the three seconds are over",
         ("Hands off for three seconds",),
         exact(("time.sleep(3)", "time.sleep_ms(3)"))),
    no_motor_there(UNDER_WAY),
)  # fmt: skip
