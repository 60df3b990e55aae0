"""Slips of `drive.square`."""

from tests.checks.motor_slips import constant, renumber, wrong_pins
from tests.checks.slips import Slip, chained, drop, put

ROUND, CORNERS, SIDES, CLOSES, HEADS, RESTS, STOPS = (
    "It goes round to port",
    "It comes by the corners",
    "It keeps to the sides",
    "It closes",
    "It heads as it began",
    "It rests between the moves",
    "It stops by itself",
)
TRIMS, TURNS, LENGTHS = "TRIM|MORE|תיקון", "CORNER_MS|TURN|פנייה|T", "SIDE_MS|SIDE|צלע|S"
SLIPS = (
    *wrong_pins(ROUND)[1:],
    Slip(
        "takes the trim out", "the faster wheel is not held back", (CORNERS,),
        constant(TRIMS, "0"), constant("RATIO", "1.0"),
    ),
    Slip(
        "turns the trim round", "trim on the wrong side", (CORNERS,),
        constant(TRIMS, "-@"), constant("RATIO", "1 / @"),
    ),
    Slip(
        "turns too far", "turns too far or not far enough", (HEADS,),
        constant(TURNS, "type@(1.2 * @)"),
    ),
    Slip(
        "turns not far enough", "turns too far or not far enough", (HEADS, CORNERS),
        constant(TURNS, "type@(0.8 * @)"),
    ),
    Slip(
        "makes the sides too short", "sides of the wrong length", (CORNERS,),
        constant(LENGTHS, "type@(0.65 * @)"),
    ),
    Slip(
        "turns to starboard", "left and right swapped", (ROUND,),
        renumber({25: 27, 27: 25, 26: 14, 14: 26}),
    ),
    Slip(
        "does it three times only", "wrong number of sides or turns", (HEADS, RESTS),
        put(r"range\(4\)", "range(3)"), put(r"range\(16\)", "range(12)"), put(r"\] \* 4$", "] * 3"),
        put(r"\.side\(\)\.corner\(\)$", ""),
    ),
    Slip(
        "does it five times", "wrong number of sides or turns", (HEADS,),
        put(r"range\(4\)", "range(5)"), put(r"range\(16\)", "range(20)"), put(r"\] \* 4$", "] * 5"),
    ),
    Slip(
        "turns behind the loop only", "wrong number of sides or turns", (HEADS,),
        put(r"^    drive\(-SPEED, SPEED, TURN\)", "drive(-SPEED, SPEED, TURN)"),
        put(r", \(-45, 45, T\), \(0, 0, 120\)\] \* 4", "] * 4 + [(-45, 45, T)]"),
    ),
    Slip(
        "does not rest between the moves", "no rest between the moves", (RESTS,),
        drop(r"time\.sleep_ms\(150\)"), drop(r"yield 0, 0, 150"),
        drop(r"time\.sleep\(0\.2\)"), put(r"\(0, 0, 120\)", "(0, 0, 0)"),
    ),
    Slip(
        "goes on ahead at the corners", "both wheels one way at the corners", (ROUND, HEADS),
        put(r"move\(-0\.4, 0\.4", "move(0.4, 0.4"), put(r"\(-SPEED, SPEED", "(SPEED, SPEED"),
        put(r"-0\.4 \+ TRIM, 0\.4", "0.4 + TRIM, 0.4"), put(r"\(-45, 45, T\)", "(45, 45, T)"),
    ),
    Slip(
        "never stops", "motors left on", (STOPS,),
        chained(put(r"120\)\] \* 4", "120)] * 4 + [(45, 45, 1)]"), drop(r"deinit")),
        drop(r"deinit"), put(r"^    pwm\.duty_u16\(0\)", "    pwm.duty_u16(65535 if pwm in (la, ra) else 30000)"),
    ),
    Slip(
        "drives the right motor only", "only one side driven", (ROUND,),
        drop(r"self\.left\.effort\(left\)"), drop(r"motor\(la, lb, left"),
        drop(r"put\(port, left\)"), drop(r"put\(pins\[0\], pins\[1\]"),
    ),
)  # fmt: skip
