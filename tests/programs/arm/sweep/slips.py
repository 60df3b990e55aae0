from tests.checks.slips import Edit, Slip, drop, put

BOTH, LOW, HIGH = "the arm goes to both sides", "it holds to starboard", "it holds to port"
PACE, STEADY = "it sweeps in two seconds", "at a steady speed"
BACK, AHEAD = "it comes back as slowly", "it ends straight ahead"
UP = r"for angle in range\(-45, 46\):\n    go\(angle\)\n    time.sleep_ms\(22\)"
DOWN = UP.replace("-45, 46", "45, -1, -1")


def then(*edits: Edit) -> Edit:
    """Make an edit of several, one after the other."""

    def edit(program: str) -> str:
        for one in edits:
            program = one(program)
        return program

    return edit


SLIPS = (
    Slip("hangs the arm on another pin", "wrong pin", (BOTH,), put(r"\b18\b", "13")),
    Slip("leaves the frequency out", "frequency is not 50 Hz", (BOTH,),
         lambda program: program if "duty_ns" in program else program.replace(", freq=50", "")),
    Slip("turns the sign of the angle", "arm mirrored", (PACE, STEADY, HIGH),
         put(r"\+ angle", "- angle"), put(r"1500 \+ \(angle", "1500 - (angle"),
         put(r"\+ מעלה \*", "- מעלה *")),
    Slip("takes half a turn for the travel", "another angle than asked", (BOTH, LOW, HIGH),
         put(r"1000 / 90", "1000 / 180"), put(r"11\.111", "5.5555"), put(r"100 / 9", "100 / 18"),
         put(r"/ 0\.09", "/ 0.18")),
    Slip("gives duty's number to duty_u16", "duty in the wrong scale", (BOTH,),
         put(r"\* 65536", "* 1024"), put(r"\* 65535", "* 1023")),
    Slip("goes beyond the travel", "pressed on its stop", (LOW,),
         put(r"go\(-45\)", "go(-80)"), put(r"MIDDLE - 500$", "MIDDLE - 850"),
         put(r"\(-45, 1500\)", "(-80, 1500)")),
    Slip("sweeps twice as fast", "sweep too fast or too slow", (PACE,),
         put(r"sleep_ms\(22\)", "sleep_ms(11)"), put(r"sweep\(45, 2\)", "sweep(45, 1)"),
         put(r", 44\) for", ", 22) for"), put(r"\(170, 45\)", "(120, 45)")),
    Slip("sweeps half as fast", "sweep too fast or too slow", (PACE,),
         put(r"sleep_ms\(22\)", "sleep_ms(44)"), put(r"sweep\(45, 2\)", "sweep(45, 4)"),
         put(r", 44\) for", ", 88) for")),
    Slip("gives the far goal at once", "jumped instead of swept", (PACE, STEADY),
         put(UP, "go(45)"), put(r"sweep\(45, 2\)", "look(45)"),
         put(r"^    \+ \[\(מעלה, 44\) for מעלה in range\(-44, 46, 2\)\]\n", ""),
         put(r"\(170, 45\)", "(71, 45)")),
    Slip("leaves the sleep out of the loop", "jumped instead of swept", (PACE, STEADY),
         drop(r"time\.sleep_ms\(22\)")),
    Slip("takes steps of 15 degrees", "steps too big", (STEADY,),
         then(put(r"range\(-45, 46\)", "range(-45, 46, 15)"), put(r", -1, -1\)", ", -1, -15)"),
              put(r"sleep_ms\(22\)", "sleep_ms(333)"))),
    Slip("takes a neighbour's trim", "trim not right", (LOW, HIGH, AHEAD),
         put(r"^(TRIM|ZERO|MIDDLE|תיקון) = (.*)$", r"\1 = \2 + 35"),
         put(r"^OFF = (.*)$", r"OFF = \1 + 3.2")),
    Slip("holds for half a second", "held for too short a time", (LOW,),
         put(r"sleep\(1\.5\)", "sleep(0.5)"), put(r"hold\(1\.3\)", "hold(0.5)"),
         put(r"range\(60\)", "range(25)"), put(r"\(-45, 1500\)", "(-45, 500)")),
    Slip("jumps back", "jumped back", (BACK,),
         put(DOWN, "go(0)"), put(r"sweep\(0, 1\)", "look(0)"),
         put(r"^    \+ \[\(מעלה, 44\) for מעלה in range\(44, -1, -2\)\]\n", ""),
         put(r"\(290, 0\)", "(241, 0)")),
    Slip("stays to port", "the arm is not brought back", (BACK, AHEAD),
         put(DOWN, ""), drop(r"sweep\(0, 1\)"),
         put(r"^    \+ \[\(מעלה, 44\) for מעלה in range\(44, -1, -2\)\]\n    \+ \[\(0, 900\)\]\n", "")),
    Slip("ends at 3 degrees", "the last order is not for straight ahead", (AHEAD,),
         put(r"range\(45, -1, -1\)", "range(45, 2, -1)"), put(r"sweep\(0, 1\)", "sweep(3, 1)"),
         put(r"\(0, 900\)", "(3, 900)"), put(r"range\(FRAMES \+ 1\)", "range(FRAMES - 2)")),
    Slip("takes the pulses away", "pulses taken away at the end", (AHEAD,),
         put(r"\Z", "PWM(Pin(18), freq=50, duty_u16=0)\n")),
    Slip("mistypes a name", "the program stopped with an error", (BOTH,),
         put(r"sleep_ms\(22\)", "sleep_m(22)"), put(r"range\(2 \* FRAMES", "range(2 * FRAME")),
)  # fmt: skip
