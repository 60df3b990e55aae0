"""Slips of `drive.start`."""

from tests.checks.motor_slips import constant, wrong_pins
from tests.checks.slips import Slip, drop, exact, put

TURN, LEFT, RIGHT, CREEPS, STOPS = (
    "Both wheels turn ahead",
    "The left wheel gets its start duty",
    "The right wheel gets its start duty",
    "It creeps",
    "It stops by itself",
)
PORT, STARBOARD = "LEFT|TOP_LEFT|ΑΡΙΣΤΕΡΑ", "RIGHT|TOP_RIGHT|ΔΕΞΙΑ"
SLIPS = (
    *wrong_pins(TURN),
    Slip(
        "gives both motors half the effort that they need", "below the start duty", (TURN,),
        constant(f"{PORT}|{STARBOARD}", "type@(0.5 * @)"),
    ),
    Slip(
        "gives the left motor twice what it needs", "more duty than the wheel needs to start",
        (LEFT,), constant(PORT, "2 * @"),
    ),
    Slip(
        "drives the left motor only", "only one side driven", (TURN, RIGHT),
        put(r"^    starboard\.effort\(RIGHT\)", "    pass"), drop(r"right_ahead\.duty_u16\(65535\)"),
        drop(r"inputs\[3\]\.duty_u16\(int"), drop(r"pins\[3\]\.duty_u16\("),
    ),
    Slip(
        "turns the duty round", "slow-decay duty inverted", (CREEPS,),
        put(r"\(1 - share\)", "share"), put(r"\(1 - (LEFT|RIGHT)\)", r"\1"),
        put(r"\(100 - (left|right)\)", r"\1"), put(r"1023 - (LEFT|RIGHT)", r"\1"),
        put(r"\(1 - μέρος\)", "μέρος"),
    ),
    Slip(
        "never stops", "motors left on", (STOPS,),
        drop(r"self\.(ahead|back)\.duty_u16\(0\)"), drop(r"yield 0, 0, 100|deinit"),
        drop(r"pwm\.duty_u16\(0\)"), drop(r"\w+\.duty_u16\(0\)"),
        drop(r"pwm\.duty\(1023\)"),
    ),
    Slip(
        "stops the ahead inputs only", "motors left on", (STOPS,),
        drop(r"self\.back\.duty_u16\(0\)"), drop(r"\w+_back\.duty_u16\(0\)"),
    ),
    Slip(
        "waits for ever before it stops", "the program does not come to its end in time", (STOPS,),
        put(r"time\.sleep\(2\.5\)|time\.sleep_ms\(2200\)", "time.sleep(60)"),
        put(r"2300", "60000"), put(r"period=2400", "period=60000"),
    ),
    Slip(
        "drives for a second only", "driven for the wrong time", (TURN,),
        put(r"time\.sleep\(2\.5\)|time\.sleep_ms\(2200\)", "time.sleep(1)"),
        put(r"period=2400", "period=1000"), put(r"2300", "1000"),
    ),
    Slip(
        "drives one motor after the other", "one motor after the other", (TURN,),
        exact(("    starboard.effort(RIGHT)\n", "    time.sleep(1.1)\n    port.effort(0)\n"
               "    starboard.effort(RIGHT)\n"), ("2200", "1100")),
        exact(("right_back.duty_u16(int((1 - RIGHT) * 65535))\n", "time.sleep(1.2)\n"
               "left_ahead.duty_u16(0)\nleft_back.duty_u16(0)\nright_back.duty_u16(int((1 - RIGHT) * 65535))\n"),
              ("time.sleep(2.5)", "time.sleep(1.2)")),
    ),
    Slip(
        "does not wait before it stops", "no sleep between start and stop", (TURN,),
        drop(r"time\.sleep\(2\.5\)|time\.sleep_ms\(2200\)"),
    ),
    Slip(
        "gives both inputs of a motor the same", "the motors are never driven", (TURN,),
        put(r"(self\.ahead\.duty_u16\()65535", r"\1round(65535 * (1 - share))"),
    ),
    Slip(
        "takes fast decay, and more effort", "fast decay where slow was asked", (CREEPS,),
        lambda text: text.replace("self.ahead.duty_u16(65535)", "self.ahead.duty_u16(24000)").replace(
            "round(65535 * (1 - share))", "0"
        ),
    ),
    Slip(
        "takes fast decay at the same effort", "fast decay where slow was asked", (TURN,),
        lambda text: text.replace(
            "self.ahead.duty_u16(65535)", "self.ahead.duty_u16(int(65535 * share))"
        ).replace("round(65535 * (1 - share))", "0"),
    ),
)  # fmt: skip
