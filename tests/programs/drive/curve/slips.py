"""Slips of `drive.curve`."""

from tests.checks.motor_slips import constant, renumber, wrong_pins
from tests.checks.slips import Slip, drop, put

PORT, CIRCLE, HALF, STOPS = (
    "It turns to port",
    "It keeps to the circle",
    "It turns by half a turn",
    "It stops by itself",
)
INNER, TIMES = "INNER|INSIDE|内側|PORT", "MS|STEADY|秒|SECONDS|TICKS"
SLIPS = (
    *wrong_pins(PORT),
    Slip(
        "exchanges the sides", "left and right swapped", (PORT,),
        renumber({25: 27, 27: 25, 26: 14, 14: 26}),
    ),
    Slip(
        "takes the right motor's back input for the left one's too",
        "a back input on the pin of the other motor", (PORT,), renumber({26: 14}),
    ),
    Slip(
        "gives both wheels the same", "no difference between the wheels", (CIRCLE,),
        constant("INNER", "0.55"), constant("INSIDE", "55"), constant("内側", "0.58"),
        constant("RATIO", "1.0"), constant("PORT", "0.6"),
    ),
    Slip(
        "gives the inner wheel too little", "radius not yet right", (CIRCLE,),
        constant(INNER, "0.8 * @"), constant("RATIO", "0.8 * @"),
    ),
    Slip(
        "gives the inner wheel too much", "radius not yet right", (CIRCLE,),
        constant(INNER, "1.1 * @"), constant("RATIO", "1.1 * @"),
    ),
    Slip(
        "gives the inner wheel less than it needs to start", "below the start duty", (PORT,),
        constant("INNER|内側|PORT", "0.1"), constant("INSIDE", "10"), constant("RATIO", "0.15"),
    ),
    Slip(
        "drives for too short a time", "driven for the wrong time", (HALF,),
        constant(TIMES, "type@(0.55 * @)"),
    ),
    Slip(
        "drives for too long a time", "driven for the wrong time", (HALF,),
        constant(TIMES, "type@(1.4 * @)"),
    ),
    Slip(
        "never stops", "motors left on", (STOPS,),
        drop(r"motor\.off\(\)"), drop(r"put\([ab], 0\)"),
        drop(r"yield 0, 20|deinit"),
    ),
    Slip(
        "turns the stop round", "slow-decay duty inverted", (STOPS,),
        lambda text: text.replace("left_back.duty_u16(65535)", "left_back.duty_u16(0)")
        .replace("right_back.duty_u16(65535)", "right_back.duty_u16(0)")
        .replace("\nfor pwm in (left_ahead, left_back, right_ahead, right_back):\n", "\nfor pwm in ():\n"),
    ),
    Slip(
        "drives the right motor only", "only one side driven", (PORT,),
        drop(r"左\[1\]\.duty_u16\(round"), drop(r"put\(a, PORT\)"), drop(r"left_ahead\.duty_u16\(65535\)"),
        drop(r"pwms\[1\]\.duty\("),
    ),
    Slip(
        "lets the left side run back", "one side runs backwards", (PORT,),
        renumber({25: 26, 26: 25}),
    ),
    Slip(
        "does not wait before it stops", "no sleep between start and stop", (PORT,),
        drop(r"time\.sleep_ms\(MS\)"),
    ),
    Slip(
        "turns the effort round", "slow-decay duty inverted", (PORT,),
        put(r"\(1 - share\)", "share"), put(r"\(1 - OUTER( \* RATIO)?\)", r"OUTER\1"),
    ),
)  # fmt: skip
