"""Slips in `lamps.fade`."""

import re

from tests.checks.slips import Slip, drop, put

STEPS, EVEN, TIME = (
    "The mast lamp comes up in small steps", "It comes up evenly to the eye",
    "It takes four seconds",
)
BACK, STAYS, OTHERS = (
    "It never falls back", "It ends at full white and stays", "The other lamps stay dark"
)


def then_dark(program):
    found = re.search(r"^(\w+) = (?:neopixel\.)?NeoPixel", program, re.M)
    if not found or "Timer" in program or "clock" in program:
        return program
    name = found[1]
    return program + f"\ntime.sleep(1)\n{name}[2] = (0, 0, 0)\n{name}.write()\n"


def number_is(plain, clock, cyrillic, moments, power, timer):
    """Work out the number, or the moment, in another way, in each program's own words."""
    return (
        put(r"v = round\(255 \* share\)", f"v = {plain}"),
        put(r"return min\(255, int\(y \* 256\)\)", f"return {clock}"),
        put(r"число = .*", f"число = {cyrillic}"),
        put(r"L = 116.*", f"L = {moments}"),
        put(r"int\(255 \* \(k / STEPS\) \*\* 2\.2 \+ 0\.5\)", power),
        put(r"yield round.*", f"yield {timer}"),
    )


SLIPS = (
    Slip(
        "takes the share for the number", "every number that is sent is 0", (STEPS,),
        *number_is("int(share * 0.99)", "int(y * 0.99)", "int(светлота / 101)", "116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y", "int(k / STEPS * 0.99)", "int(lightness / 101)"),
    ),
    Slip("leaves write() out", "write() forgotten", (STEPS,), drop(r"\.write\(\)")),
    Slip("speaks to pin 12", "wrong pin for the lamps", (STEPS,), put(r"Pin\(13\)", "Pin(12)")),
    Slip(
        "lights lamp 3", "wrong lamp", (STEPS,),
        put(r"\[2\] =", "[3] ="), put(r"5\), 2\)", "5), 3)"), put("= 2, 64", "= 3, 64"),
    ),
    Slip(
        "lights all lamps", "other lamps come up too", (OTHERS,),
        put(r"(np|lamps)\[2\] = (.*)", r"\1.fill(tuple(\2))"),
        put(r"self\.chain\[self\.lamp\] = (.*)", r"self.chain.fill(\1)"),
        put(r"огни\[МАЧТА\] = (.*)", r"огни.fill(\1)"),
    ),
    Slip(
        "counts the number up evenly", "equal steps of the number", (EVEN,),
        *number_is("round(2.55 * step)", "min(255, int(lightness * 2.56))",
                   "int(2.55 * светлота)", "100 * y", "int(255 * k / STEPS)",
                   "round(2.55 * lightness)"),
    ),
    Slip(
        "bends the curve the wrong way", "the curve is bent the wrong way", (EVEN,),
        *number_is("round(255 * (step / 100) ** 0.45)",
                   "min(255, int(256 * (lightness / 100) ** 0.45))",
                   "int(255 * (светлота / 100) ** 0.45)", "100 * y ** 2.2",
                   "int(255 * (k / STEPS) ** 0.45)", "round(255 * (lightness / 100) ** 0.45)"),
    ),
    Slip(
        "sends the lightness", "lightness sent as it is", (STAYS,),
        put(r"v = round\(255 \* share\)", "v = step"),
        put(r"return min\(255, int\(y \* 256\)\)", "return int(lightness)"),
        put(r"число = .*", "число = int(светлота)"), put(r"yield round.*", "yield int(lightness)"),
    ),
    Slip(
        "leaves the sleep out", "steps and waits do not make four seconds", (TIME, EVEN),
        put(r"^    time\.sleep_ms\(40\)$", "    pass"),
        put(r"^    time\.sleep_us\(62500\)$", "    pass"),
        put(r"^    time\.sleep\(4 / STEPS\)$", "    pass"),
    ),
    Slip(
        "sleeps for seconds", "seconds and milliseconds mixed up", (TIME, STAYS),
        put(r"sleep_ms\(40\)", "sleep(40)"), put(r"sleep_us\(62500\)", "sleep(62500)"),
    ),
    Slip(
        "takes six seconds", "steps and waits do not make four seconds", (TIME,),
        put(r"sleep_ms\(40\)", "sleep_ms(60)"), put("62500", "93750"), put("4 / STEPS", "6 / STEPS"),
        put("DURATION_MS = 4000", "DURATION_MS = 6000"), put(r"40 \* L", "60 * L"),
        put("period=50", "period=75"),
    ),
    Slip(
        "takes 3.2 seconds", "steps and waits do not make four seconds", (TIME,),
        put(r"sleep_ms\(40\)", "sleep_ms(32)"), put("62500", "50000"),
        put("4 / STEPS", "3.2 / STEPS"), put("DURATION_MS = 4000", "DURATION_MS = 3200"),
        put(r"40 \* L", "32 * L"), put("period=50", "period=40"),
    ),
    Slip(
        "sleeps for two seconds first", "it begins too late", (TIME,),
        put(r"^((?:np|lamps|огни) = .*)$", r"\1\nimport time\ntime.sleep(2)"),
    ),
    Slip("puts the lamp out again", "the lamp goes out again", (STAYS,), then_dark),
    Slip(
        "ends one step early", "the rise stops short of full", (STAYS,),
        put(r"range\(1, 101\)", "range(1, 100)"), put(r"range\(STEPS \+ 1\)", "range(STEPS)"),
        put("while шаг < ШАГОВ", "while шаг < ШАГОВ - 1"),
        put(r"range\(1, steps \+ 1\)", "range(1, steps)"),
        put(r"range\(1, 256\)", "range(1, 250)"),
    ),
    Slip(
        "goes in a few steps", "too few steps", (STEPS, EVEN),
        put(r"range\(1, 101\):\n", "range(20, 101, 20):\n    time.sleep_ms(760)\n"),
        put("STEPS = 50", "STEPS = 5"),
        lambda p: p.replace("levels(80)", "levels(5)").replace("period=50", "period=800"),
        lambda p: p.replace("= 2, 64", "= 2, 5").replace("62500", "800000"),
    ),
    Slip(
        "goes dark between two steps", "the lamp flickers on its way", (BACK,),
        put(r"^( +)(np|lamps|огни)\.write\(\)$",
            r'\1\2.write()\n\1__import__("time").sleep_ms(8)\n\1\2.fill((0, 0, 0))\n\1\2.write()'),
    ),
    Slip(
        "lights red alone", "not white", (STAYS,),
        put(r"\(v, v, v\)", "(v, 0, 0)"), put(r"\(n, n, n\)", "(n, 0, 0)"),
        put(r"\[level\] \* 3", "[level, 0, 0]"), put(r"\(число,\) \* 3", "(число, 0, 0)"),
    ),
    Slip(
        "takes 100 for all of the light", "the rise stops short of full", (STAYS,),
        put(r"round\(255 \* share", "round(100 * share"),
        put(r"yield round\(255", "yield round(100"),
        put(r"int\(255 \* \(k / STEPS\)", "int(100 * (k / STEPS)"),
    ),
    Slip(
        "goes up to 256", "a number beyond 255", (STAYS,),
        put(r"round\(255 \* share", "round(256 * share"),
        put(r"yield round\(255", "yield round(256"),
        put(r"int\(255 \* \(k / STEPS\)", "int(256 * (k / STEPS)"),
    ),
)  # fmt: skip
