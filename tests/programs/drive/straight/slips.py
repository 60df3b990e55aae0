"""Slips of `drive.straight`."""

from tests.checks.motor_slips import constant, wrong_pins
from tests.checks.slips import Slip, chained, drop, put

WAY, METRE, LINE, STOPS = (
    "It makes way ahead",
    "It goes one metre",
    "It keeps to the line",
    "It stops by itself",
)
TIMES = "SECONDS|MS|TENTHS|LONG|ВРЕМЯ"
TRIMS = "TRIM|ПОПРАВКА"
SLIPS = (
    *wrong_pins(WAY),
    Slip(
        "takes the trim out", "the faster wheel is not held back", (LINE,),
        constant(TRIMS, "0.0"), constant("RATIO", "1.0"), constant("STARBOARD|LEFT", "0.6"),
    ),
    Slip(
        "turns the trim round", "trim on the wrong side", (LINE,),
        constant(TRIMS, "-@"), constant("RATIO", "1 / @"), constant("STARBOARD|LEFT", "1.2 - @"),
    ),
    Slip(
        "trims three times too much", "trim not yet right", (LINE,),
        constant(TRIMS, "3 * @"), constant("RATIO", "1 + 3 * (@ - 1)"),
        constant("STARBOARD|LEFT", "0.6 + 2 * (@ - 0.6)"),
    ),
    Slip(
        "drives for too short a time", "driven for the wrong time", (METRE,),
        constant(TIMES, "type@(0.6 * @)"),
    ),
    Slip(
        "drives for too long a time", "ran into the wall", (METRE, STOPS),
        constant(TIMES, "type@(1.3 * @)"),
    ),
    Slip(
        "never stops", "motors left on", (STOPS,),
        drop(r"self\.brake\(\)"), drop(r"pwm\.duty_u16\(0\)"),
        chained(drop(r"pwm\.duty\(1023\)"), drop(r"deinit\(\)")),
        drop(r"deinit\(\)"), drop(r"yield 0, 0, 0.2"), drop(r"\w+\.duty_u16\(0\)"),
    ),
    Slip(
        "waits for ever before it stops", "the program does not come to its end in time", (STOPS,),
        put(r"^time\.sleep\(SECONDS\)", "time.sleep(60)"), put(r"sleep_ms\(ms\)", "sleep_ms(60000)"),
        put(r"sleep\(секунды\)", "sleep(60)"), put(r"period=int\(TENTHS \* 100\)", "period=60000"),
        put(r"SECONDS \* 1000", "SECONDS * 100000"),
    ),
    Slip(
        "does not wait before it stops", "no sleep between start and stop", (WAY,),
        drop(r"time\.sleep\(SECONDS\)"), drop(r"time\.sleep_ms\(ms\)"),
        drop(r"time\.sleep\(секунды\)"), put(r"SECONDS \* 1000", "0"),
    ),
    Slip(
        "drives the left motor only", "only one side driven", (WAY,),
        drop(r"self\.right\.effort\(share"), drop(r"right_ahead\.duty_u16\(65535\)|right_back"),
        drop(r"правый\[1\]\.duty_u16"), drop(r"go\(right, "), drop(r"right\.duty_u16\("),
    ),
    Slip(
        "lets the right side run back", "one side runs backwards", (WAY,),
        put(r"effort\(share \* RATIO\)", "effort(-share * RATIO)"),
        put(r"^go\(right, STARBOARD\)", "go(right[::-1], STARBOARD)"),
        put(r"Pin\(27\)(.*\n.*)Pin\(14\)", r"Pin(14)\1Pin(27)"),
    ),
    Slip(
        "leaves the frequency out", "PWM frequency too high for fast decay", (METRE,),
        lambda text: text.replace("freq=1000, ", "") if "other = [Pin" in text else text,
    ),
    Slip(
        "puts the pulses for the effort on the back input", "", (LINE,),
        put(r"int\(FULL \* \(1 - share\)\)", "int(FULL * share)"),
        put(r"\(1 - \((SPEED .*)\)\)\)\)$", r"(\1)))"),
    ),
    Slip(
        "sleeps between the start of one motor and the other",
        "one motor is driven longer than the other", (LINE,),
        put(r"^go\(right, STARBOARD\)", "time.sleep_ms(300)\n\\g<0>"),
        put(r"^right\.duty_u16\(int", "time.sleep_ms(300)\n\\g<0>"),
    ),
)  # fmt: skip
