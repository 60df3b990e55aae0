"""Slips of `turn.quarter`."""

from tests.checks.motor_slips import no_motor_there, renumber
from tests.checks.slips import Slip, drop, exact, put, where

TURNS, PORT, BACK, KNOWS, RESTS, OFF = (
    "It turns, and reads the sensor",
    "It turns a quarter to port",
    "It turns a quarter back",
    "It knows how far it turned",
    "It rests between the turns",
    "It switches the motors off",
)
SLIPS = (
    no_motor_there(PORT),
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
        put(r"still\(650\)", "still(200)"),
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
    Slip("takes another address", "nobody at that address",
         ("It turns, and reads the sensor",),
         exact(("SENSOR = 0x68", "SENSOR = 0x86 // 2"))),
    Slip("reads another axis", "wrong axis",
         ("It turns, and reads the sensor",),
         exact(("    high, low = bus.readfrom_mem(SENSOR, 0x47, 2)", "    high, low = bus.readfrom_mem(SENSOR, 0x43, 2)"))),
    Slip("takes off the bias of another tug", "gyro bias left in",
         ("It turns a quarter to port", "It turns a quarter back", "It knows how far it turned",),
         exact(("        angle += (rate() - bias) * time.ticks_diff(now, before) / 1000000", "        angle += (rate() - 0.48) * time.ticks_diff(now, before) / 1000000"))),
    Slip("coasts at the end", "stops too late",
         ("It turns a quarter to port", "It turns a quarter back",),
         exact(("        if left < 1.5:\n            spin(0)", "        if left < 0:\n"
                "            for pwm in (left_ahead, left_back, right_ahead, right_back):\n"
                "                pwm.duty_u16(0)"),
               ("        elif left < 20:\n"
                "            spin(0.3 * way)\n"
                '    print("turned %.1f" % angle)', '    print("turned", angle)'))),
    Slip("never stops", "motors left on",
         ("It turns a quarter to port", "It turns a quarter back", "It switches the motors off",),
         exact(("            spin(0)", ""),
               ("for pwm in (left_ahead, left_back, right_ahead, right_back):\n"
                "    pwm.duty_u16(0)", ""))),
    Slip("gives its goal in radians", "an angle or a time in the wrong unit",
         ("It turns, and reads the sensor", "It turns a quarter to port", "It turns a quarter back",),
         where("for k in range", exact(("turn(90)", "turn(3.14159 / 2)"),
                                            ("turn(-90)", "turn(-3.14159 / 2)")))),
    Slip("reckons the rate in radians", "an angle or a time in the wrong unit",
         ("It turns a quarter to port", "It turns a quarter back",),
         exact(("    return raw / 131", "    return raw / 131 * 3.14159 / 180"))),
    Slip("sets another range", "scale of another range",
         ("It turns a quarter to port", "It turns a quarter back",),
         # Who sets a range of their own sets it after this one.
         lambda p: p if "0x1B" in p else put(
             r"^( *)([\w.]+)\.writeto_mem\((\w+), 0x6B, (.*)\)$",
             r"\1\2.writeto_mem(\3, 0x6B, \4)\n\1\2.writeto_mem(\3, 0x1B, bytes([0x08]))")(p)),
    Slip("counts the rest before the turn", "the rest before the turn counted as a step",
         ("It turns a quarter back",),
         exact(("    way = 1 if degrees > 0 else -1", "    global before\n    way = 1 if degrees > 0 else -1"),
               ("    before = time.ticks_us()", ""),
               ("turn(90)", "before = time.ticks_us()\nturn(90)"))),
    Slip("divides by the number of another range", "scale of another range",
         ("It turns, and reads the sensor", "It turns a quarter to port", "It turns a quarter back",),
         exact(("    return raw / 131", "    return raw / 32.8"))),
    Slip("looks every 60 ms", "stops too late",
         ("It turns a quarter to port",),
         exact(("    while after < 40:\n        time.sleep_ms(5)", "    while after < 5:\n        time.sleep_ms(60)"),
               ("        if left < 1.5:", "        if left <= 0:"),
               ("        elif left < 20:\n"
                "            spin(0.3 * way)\n"
                '    print("turned %.1f" % angle)', '    print("turned", angle)'))),
    Slip("assumes its step and prints", "time step assumed, not measured",
         ("It turns a quarter to port", "It knows how far it turned",),
         exact(("        angle += (rate() - bias) * time.ticks_diff(now, before) / 1000000\n"
                "        before = now", "        angle += (rate() - bias) * 0.005\n"
                '        print("angle", angle)'))),
    Slip("exchanges the bytes", "bytes swapped",
         ("It turns a quarter to port", "It turns a quarter back",),
         exact(("    high, low = bus.readfrom_mem(SENSOR, 0x47, 2)", "    low, high = bus.readfrom_mem(SENSOR, 0x47, 2)"))),
    Slip("turns to starboard first", "turns the wrong way",
         ("It turns a quarter to port", "It turns a quarter back",),
         exact(("turn(90)", "turn(-91)\ntime.sleep_ms(500)\nturn(90)"),
               ("time.sleep_ms(500)\nturn(-90)", ""))),
)  # fmt: skip
