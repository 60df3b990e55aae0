"""Slips of `turn.rate`."""

from tests.checks.slips import Slip, drop, put

TURNS, PORT, STARBOARD, REST, ORDER, OFF = (
    "It turns both ways and prints rates",
    "It is right to port",
    "It is right to starboard",
    "It shows 0 at rest",
    "It turns, rests, turns back and rests",
    "It switches the motors off",
)
SLIPS = (
    Slip(
        "does not wake the sensor", "sensor still asleep", (REST,),
        drop(r"0x6B, b"), put(r"\(0x6B, 1\), ", ""), drop(r"x6b"),
    ),
    Slip(
        "leaves the bias in", "gyro bias left in", (REST,),
        put(r"\(rate\(\) - bias\)", "rate()"), put(r" - self\.zero", ""), put(r" - ноль\)", ")"),
        put(r'- state\["zero"\]', ""),
    ),
    Slip(
        "adds the bias", "gyro bias left in", (REST,),
        put(r"rate\(\) - bias", "rate() + bias"), put(r" - self\.zero", " + self.zero"),
        put(r" - ноль\)", " + ноль)"), put(r'- state\["zero"\]', '+ state["zero"]'),
    ),
    Slip(
        "takes the scale of another range", "scale of another range", (PORT, STARBOARD),
        put(r"/ 131$", "/ 65.5"), put(r"/ 65\.5\b", "/ 32.8"), put(r"/ 32\.8", "/ 16.4"),
    ),
    Slip(
        "forgets the sign", "two's complement forgotten", (STARBOARD,),
        drop(r"raw -= 65536"), put(r">7h", ">7H"), put(r"\(\(старший \^ 128\) - 128\)", "старший"),
        put(r"\(number & 0x7FFF\) - \(number & 0x8000\)", "number"),
    ),
    Slip(
        "exchanges the bytes", "bytes swapped", (PORT, STARBOARD),
        put(r"high, low = ", "low, high = "), put(r">7h", "<7h"),
        put(r"старший, младший = ", "младший, старший = "),
        put(r"pair\[0\] << 8 \| pair\[1\]", "pair[1] << 8 | pair[0]"),
    ),
    Slip("reads the rate about x", "wrong axis", (PORT, STARBOARD),
         put(r"0x47", "0x43"), put(r"values\[-1\]", "values[-3]")),
    Slip(
        "prints the raw number", "raw number printed", (PORT, STARBOARD), put(r"raw / 131$", "raw"),
        put(r"сколько / 32\.8", "сколько"), put(r" / 65\.5\b", ""),
    ),
    Slip(
        "loses the sign in print", "the sign is lost", (STARBOARD,),
        put(r'% \(rate\(\) - bias\)', "% abs(rate() - bias)"),
        put(r"% sensor\.read\(\)", "% abs(sensor.read())"),
        put(r"% \(next\(поток\) - ноль\)", "% abs(next(поток) - ноль)"),
    ),
    Slip(
        "leaves the motors on", "motors left on", (OFF,),
        lambda text: text.replace("(0.4, 0, -0.4, 0)", "(0.4, 0, -0.4)").replace(
            "duty_u16(0)\n", "duty_u16(0) if 0 else None\n"
        ),
        lambda text: text.replace("(50, 0, -50, 0)", "(50, 0, -50)").replace("\ntug.off()", ""),
    ),
    Slip(
        "leaves the motors braked", "motors braked at the end, not off", (OFF,),
        put(r"duty_u16\(0\)\n?\Z", "duty_u16(65535)\n"), put(r"^tug\.off\(\)", "pass"),
    ),
    Slip(
        "turns to starboard first", "not the order or the times that were asked", (ORDER,),
        put(r"\(0\.4, 0, -0\.4, 0\)", "(-0.4, 0, 0.4, 0)"),
        put(r"\(50, 0, -50, 0\)", "(-50, 0, 50, 0)"), put(r"\(\(0, 1\), \(2, 3\)\)", "((2, 3), (0, 1))"),
        put(r"\(0, 27000, 27000, 0\), \(0, 0, 0, 0\), \(27000, 0, 0, 27000\)",
            "(27000, 0, 0, 27000), (0, 0, 0, 0), (0, 27000, 27000, 0)"),
    ),
    Slip(
        "does not rest between the turns", "", (ORDER,),
        put(r"\(0\.4, 0, -0\.4, 0\)", "(0.4, -0.4, 0)"), put(r"\(50, 0, -50, 0\)", "(50, -50, 0)"),
    ),
    Slip(
        "turns to port only", "turns to one side only", (ORDER, STARBOARD),
        put(r"\(0\.4, 0, -0\.4, 0\)", "(0.4, 0)"), put(r"\(50, 0, -50, 0\)", "(50, 0)"),
        put(r"\(\(0, 1\), \(2, 3\)\)", "((0, 1),)"),
    ),
    Slip(
        "leaves the word out", "no line that can be read", (TURNS,),
        put(r'"rate:? %', '"%'),
    ),
)  # fmt: skip
