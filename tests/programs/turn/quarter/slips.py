"""Slips of `turn.quarter`."""

from tests.checks.motor_slips import renumber
from tests.checks.slips import Slip, drop, put

TURNS, PORT, BACK, KNOWS, RESTS, OFF = (
    "It turns, and reads the sensor",
    "It turns a quarter to port",
    "It turns a quarter back",
    "It knows how far it turned",
    "It rests between the turns",
    "It switches the motors off",
)
SLIPS = (
    Slip(
        "does not wake the sensor", "sensor still asleep", (TURNS,),
        drop(r"0x6B, b"), drop(r"x6b"), drop(r"WAKE, bytes"),
    ),
    Slip(
        "leaves the bias in", "gyro bias left in", (KNOWS,),
        put(r"\(rate\(\) - bias\)", "rate()"), put(r" - self\.(zero|bias)$", ""),
        put(r"\(հում\(\) - զրո\)", "հում()"), put(r"\(counts\(\) - zero\)", "counts()"),
        put(r"reading\(\) - zero", "reading()"),
    ),
    Slip(
        "takes the scale of another range", "scale of another range", (PORT, BACK),
        put(r"/ 131$", "/ 65.5"), put(r"/ 65\.5\b", "/ 131"), put(r"/ 131\b", "/ 65.5"),
        put(r"131e6", "65.5e6"),
    ),
    Slip(
        "forgets the sign", "two's complement forgotten", (BACK,),
        drop(r"raw -= 65536"), put(r">h", ">H"), put(r"number - 65536 if", "number if"),
        put(r"\(բ - 256 if բ > 127 else բ\)", "բ"),
    ),
    Slip(
        "counts a step as 5 ms", "time step assumed, not measured", (PORT, BACK),
        put(r"time\.ticks_diff\(now, before\) / 1000000", "5000 / 1000000"),
    ),
    Slip(
        "drives on to 95 degrees", "stops too late", (PORT, BACK),
        put(r"left = abs\(degrees\)", "left = abs(degrees) + 5"), put(r"88\.8", "95"),
        put(r"< 89\.5", "< 96"),
    ),
    Slip(
        "stops at 80 degrees", "stops too early", (PORT, BACK),
        put(r"left = abs\(degrees\)", "left = abs(degrees) - 10"), put(r"88\.8", "80"),
        put(r"< 89\.5", "< 80"), put(r"goal in \(90\.0, -90\.0\)", "goal in (80.0, -80.0)"),
    ),
    Slip(
        "turns the wrong way", "turns the wrong way", (PORT,),
        put(r"^turn\(90\)(\n.*\n)turn\(-90\)", r"turn(-90)\1turn(90)"),
        put(r"goal in \(90, -90\)", "goal in (-90, 90)"),
        put(r"goal in \(90\.0, -90\.0\)", "goal in (-90.0, 90.0)"),
    ),
    Slip(
        "turns to port only", "turns to one side only", (BACK, RESTS),
        drop(r"turn\(-90\)"), put(r"goal in \(90, -90\)", "goal in (90,)"),
        put(r"goal in \(90\.0, -90\.0\)", "goal in (90.0,)"), put(r"goal in \(90, 0\)", "goal in (90,)"),
    ),
    Slip(
        "rests for a fifth of a second only", "no rest between the turns", (RESTS,),
        lambda text: text.replace("after < 40", "after < 20").replace("sleep_ms(500)", "sleep_ms(100)"),
        put(r"ticks_ms\(\), 600\)", "ticks_ms(), 220)"), put(r"sleep_ms\(600\)", "sleep_ms(220)"),
    ),
    Slip(
        "leaves the motors braked", "motors braked at the end, not off", (OFF,),
        put(r"^պտտել\(\(0, 0, 0, 0\)\)", "pass"), put(r"^L\.off\(\); R\.off\(\)", "pass"),
        put(r"^tug\.off\(\)", "pass"), put(r"duty_u16\(0\)\n?\Z", "duty_u16(65535)\n"),
    ),
    Slip(
        "prints 90 whatever it turned", "a number printed that was not added up", (KNOWS,),
        put(r'"turned %\.1f" % angle', '"turned %.1f" % degrees'),
        put(r'"turned %\.1f" % compass\.angle', '"turned %.1f" % goal'),
        put(r'print\("turned", "%\.2f" % angle\)', 'print("turned", goal)'),
    ),
    Slip(
        "prints the angle without its sign", "the sign is lost", (KNOWS,),
        put(r'"turned %\.1f" % angle', '"turned %.1f" % abs(angle)'),
        put(r'"turned %\.1f" % compass\.angle', '"turned %.1f" % abs(compass.angle)'),
        put(r'"turned -%', '"turned %'),
    ),
    Slip(
        "leaves the word out", "a line is missing or reads otherwise", (KNOWS,),
        put(r'"turned (-?%)', r'"\1'), put(r'print\("turned", ', "print("),
    ),
    Slip(
        "exchanges the sides", "turns the wrong way", (PORT, BACK),
        renumber({25: 27, 27: 25, 26: 14, 14: 26}),
    ),
)  # fmt: skip
