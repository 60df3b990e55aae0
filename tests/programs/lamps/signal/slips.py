"""Slips in `lamps.signal`."""

from tests.checks.slips import Slip, chained, drop, exact, put

PATTERN, TIME, STERN = (
    "The mast signals: two short, one long", "The signals keep time",
    "The stern lamp blinks by itself",
)
FAST, COLOURS, LOG = (
    "No lamp flashes too fast", "White when lit, the other lamps dark", "The console keeps the log"
)
MADE = r"^(np|灯) = (.*)$"


def colour(to):
    """Light the lamps in another colour."""
    return (
        put(r"\((\d+), \1, \1\), \(0, 0, 0\)$", f"{to}, (0, 0, 0)"),
        put(r"\(0, 0, 0\), \((\d+), \1, \1\)$", f"(0, 0, 0), {to}"),
        put(r"\(90, 90, 80\)", f"{to}"), put(r"\(80, 80, 80\)", f"{to}"),
        put(r"\(v, v, v\)", f"{to} if v else (0, 0, 0)"),
        put(r"\(on \* 100,\) \* 3", f"{to} if on else (0, 0, 0)"),
    )


SLIPS = (
    Slip("leaves write() out", "write() forgotten", (PATTERN,), drop(r"\.write\(\)")),
    Slip(
        "gives each lamp a fourth number", "four numbers for each lamp", (COLOURS,),
        chained(put(r"Pin\(13\), 5\)", "Pin(13), 5, bpp=4)"), put(r"\(v, v, v\)", "(v, v, v, 0)")),
    ),
    Slip("speaks to pin 12", "wrong pin for the lamps", (PATTERN,), put(r"Pin\(13\)", "Pin(12)")),
    Slip(
        "counts on from now", "time drifts", (TIME,),
        put(r"ticks_add\(mast_next,", "ticks_add(now,"),
        put(r"ticks_add\(task\[0\], next", "ticks_add(time.ticks_ms(), next"),
    ),
    Slip(
        "blinks the stern every 700 ms", "a length is not the one asked", (STERN,),
        put("1500 < 750", "1400 < 700"), put(r"// 750", "// 700"), put("yield 750", "yield 700"),
        put(r"\(750, 750\)", "(700, 700)"), put("period=750", "period=700"),
        put("STERN = 750", "STERN = 700"), put(r"stern_next, 750", "stern_next, 700"),
    ),
    Slip(
        "makes the long flash too short", "a length is not the one asked", (PATTERN,),
        put("900, 1900", "600, 2200"), put(r"\(2100, 0\)", "(1800, 0)"),
        put("1200 <= t < 2100", "1200 <= t < 1800"), put(r"4, 5, 6\)", "4, 5)"),
        put(r'"1{18}" \+ "0" \* 38', '"111111111111" + "0" * 44'),
    ),
    Slip(
        "makes the short flashes too short", "a length is not the one asked", (PATTERN,),
        put("300, 300, 300, 300, 900, 1900", "200, 400, 200, 400, 900, 1900"),
        put(r"t < 300 or 600 <= t < 900", "t < 200 or 600 <= t < 800"),
        put(r"\(300, 0\), \(600, 1\), \(900, 0\)", "(200, 0), (600, 1), (800, 0)"),
    ),
    Slip(
        "leaves a length out", "a length of the signal is missing", (PATTERN, TIME),
        chained(put("300, 300, 300, 300, 900, 1900", "300, 300, 300, 900, 1900"), put("% 6", "% 5")),
        put("300, 300, 300, 300, 900, 1900", "300, 300, 300, 900, 1900"),
        put(r"t < 300 or 600 <= t < 900 or", "t < 300 or"), put(r"\(0, 2, 4, 5, 6\)", "(0, 4, 5, 6)"),
        put(r"\(600, 1\), \(900, 0\), ", ""), put('MAST = "1{6}0{6}" ', "MAST = "),
        put(r"\(\(300, 300\), \(900, 1900\)\)", "((900, 1900),)"),
    ),
    Slip(
        "leaves the rest out", "a length of the signal is missing", (PATTERN, TIME),
        chained(put("300, 300, 300, 300, 900, 1900", "300, 300, 300, 300, 900"), put("% 6", "% 5")),
        put("300, 300, 300, 300, 900, 1900", "300, 300, 300, 300, 900"),
        put(r"(ms|今) (%|//) 4000", r"\1 \2 2100"), put(r' \+ "0" \* 38', ""),
    ),
    Slip(
        "exchanges on and off", "on and off exchanged", (PATTERN,),
        put(r"(place|step|self\.k) % 2 == 0", r"\1 % 2 == 1"),
    ),
    Slip(
        "does not send the stern", "write() forgotten for one lamp", (STERN,),
        put(r"(np\[3\] = (?:ON|WHITE) if \w+ else \w+\n)        np\.write\(\)\n", r"\1"),
    ),
    Slip(
        "blinks the deck", "the signal is on the wrong lamp", (STERN,),
        put(r"(np|灯)\[3\]", r"\1[4]"), put(r"show\(3", "show(4"), put("750 \\* k, 3", "750 * k, 4"),
        put(r"Beacon\(3", "Beacon(4"),
    ),
    Slip(
        "signals at starboard", "the signal is on the wrong lamp", (PATTERN,),
        put(r"(np|灯)\[2\]", r"\1[1]"), put(r"show\(2", "show(1"), put(r"Beacon\(2", "Beacon(1"),
        lambda p: p.replace("at, 2, on", "at, 1, on").replace("lamp == 2", "lamp == 1"),
    ),
    Slip(
        "leaves the stern out", "the stern lamp does not blink", (STERN,),
        put(r", \[begin, stern\(\)\]", ""), put(r", Beacon\(3, \(750, 750\), begin\)", ""),
        put(r"^for k in range\(16\):\n.*\n", ""), drop(r"\[3\] = "),
    ),
    Slip(
        "looks seldom", "too long a wait in the loop", (TIME,),
        put(r"^    time\.sleep_ms\((4|5|10)\)$", "    time.sleep_ms(55)"),
    ),
    Slip(
        "begins late", "it begins too late", (TIME,), put(MADE, r"\1 = \2\nimport time\ntime.sleep_ms(900)")
    ),
    Slip("lights in blue", "not white", (COLOURS,), *colour((0, 0, 90))),
    Slip("lights in pale red", "not white", (COLOURS,), *colour((150, 50, 50))),
    Slip(
        "leaves the port bow lit", "other lamps left on", (COLOURS,),
        put(MADE, r"\1 = \2\n\1[0] = (50, 0, 0)"),
    ),
    Slip(
        "counts the log from 0", "the log does not go with the signals", (LOG,),
        put("% signals", "% (signals - 1)"), put("% number", "% (number - 1)"),
        put(r"format\(told\)", "format(told - 1)"), put(r"str\(回\)", "str(回 - 1)"),
        put(r"str\(n\)", "str(n - 1)"), put(r"1 \+ turn", "turn"),
    ),
    Slip("leaves the log out", "the log does not go with the signals", (LOG,), drop(r"print\(")),
    Slip(
        "stops after three signals", "the signals stop too early", (TIME,),
        put(r"^while True:(\n.*\n    for beacon)", r"while beacons[0].round < 4:\1"),
        put("^while True:\n    now", "while signals < 4:\n    now"), put("^while True:\n    今", "while 回 < 4:\n    今"),
        put("^while True:\n    ms", "while told < 4:\n    ms"),
    ),
    Slip(
        "asks the clock the wrong way round", "the clock is asked the wrong way round", (PATTERN,),
        put(r"ticks_diff\(now, mast_next\)", "ticks_diff(mast_next, now)"),
    ),
    Slip(
        "lets the stern flutter", "flashes more than three times a second", (FAST, STERN),
        put("1500 < 750", "200 < 100"), put(r"// 750", "// 100"), put("yield 750", "yield 100"),
        put(r"\(750, 750\)", "(100, 100)"), put("period=750", "period=100"),
        put("STERN = 750", "STERN = 100"), put(r"stern_next, 750", "stern_next, 100"),
    ),
    Slip("darkens all lamps at each change", "one lamp's change puts the other out",
         ("The stern lamp blinks by itself",),
         exact(("DARK, WHITE = (0, 0, 0), (10, 10, 10)", "DARK, WHITE = (0, 0, 0), (100, 100, 100)"),
               ("        np[2] = WHITE if place % 2 == 0 else DARK", "        np.fill(DARK)\n"
                "        np[2] = WHITE if place % 2 == 0 else DARK"))),
    Slip("does not give the mast its colour", "the mast lamp does not signal",
         ("The mast signals: two short, one long",),
         exact(("DARK, WHITE = (0, 0, 0), (10, 10, 10)", "DARK, WHITE = (0, 0, 0), (100, 100, 100)"),
               ("        np[2] = WHITE if place % 2 == 0 else DARK", "        mast = WHITE if place % 2 == 0 else DARK"))),
)  # fmt: skip
