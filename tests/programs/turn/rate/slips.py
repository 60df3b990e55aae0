"""Slips of `turn.rate`."""

from tests.checks.slips import Slip, drop, exact, put

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
    Slip("takes another address", "nobody at that address",
         ("It turns both ways and prints rates",),
         exact(("SENSOR = 0x68", "SENSOR = 0x75"))),
    Slip("takes off the bias of another tug", "gyro bias left in",
         ("It shows 0 at rest",),
         exact(('        print("rate %.1f" % (rate() - bias))', '        print("rate", rate() - 0.48)'))),
    Slip("takes the bias of raw numbers", "what is taken off is not the bias",
         ("It is right to port", "It shows 0 at rest",),
         exact(("    bias += rate() / 100", "    bias += rate() * 131 / 100"))),
    Slip("measures the bias while it turns", "what is taken off is not the bias",
         ("It is right to port", "It shows 0 at rest",),
         exact(("bias = 0", "spin(0.4)\ntime.sleep_ms(300)\nbias = 0"))),
    Slip("takes other bytes of a burst", "wrong axis",
         ("It is right to port", "It is right to starboard",),
         exact(("    high, low = bus.readfrom_mem(SENSOR, 0x47, 2)", "    data = bus.readfrom_mem(SENSOR, 0x3B, 14)\n"
                "    high, low = data[8], data[9]"))),
    Slip("prints what it asked for", "printed numbers that follow no reading",
         ("It turns both ways and prints rates",),
         exact(('        print("rate %.1f" % (rate() - bias))', "        rate()\n        print(\"rate\", 375 * effort)"))),
    Slip("takes off half of 65536", "two's complement forgotten",
         ("It is right to starboard",),
         exact(("        raw -= 65536", "        raw -= 32768"))),
    Slip("reads the low byte first", "bytes swapped",
         ("It is right to port", "It is right to starboard",),
         exact(("import time\n", "import time\nimport struct\n"),
               ("    high, low = bus.readfrom_mem(SENSOR, 0x47, 2)\n"
                "    raw = 256 * high + low\n"
                "    if raw >= 32768:\n"
                "        raw -= 65536", '    raw = struct.unpack("<h", bus.readfrom_mem(SENSOR, 0x47, 2))[0]'))),
    Slip("prints only while it turns", "no rates printed at rest",
         ("It shows 0 at rest",),
         exact(('        print("rate %.1f" % (rate() - bias))', "        if effort:\n"
                '            print("rate", rate() - bias)'))),
    Slip("reads one byte", "only one of the two bytes read",
         ("It is right to port", "It is right to starboard",),
         exact(("    high, low = bus.readfrom_mem(SENSOR, 0x47, 2)", "    low = bus.readfrom_mem(SENSOR, 0x48, 1)[0]\n"
                "    high = 0"))),
    Slip("reckons in radians", "degrees and radians mixed",
         ("It is right to port", "It is right to starboard",),
         exact(("    return raw / 131", "    return raw / 131 * 3.14159 / 180"))),
    Slip("sets another range", "scale of another range",
         ("It is right to port", "It is right to starboard",),
         exact(("bus.writeto_mem(SENSOR, 0x6B, bytes([0]))\n"
                "time.sleep_ms(100)", "bus.writeto_mem(SENSOR, 0x6B, bytes([0]))\n"
                "bus.writeto_mem(SENSOR, 0x1B, bytes([0x08]))\n"
                "time.sleep_ms(100)"))),
    Slip("reads once", "one reading printed again and again",
         ("It is right to port", "It is right to starboard",),
         exact(("for effort in (0.4, 0, -0.4, 0):", "now = rate()\nfor effort in (0.4, 0, -0.4, 0):"),
               ('        print("rate %.1f" % (rate() - bias))', '        print("rate", now - bias)'))),
    Slip("turns the sign", "sign turned round",
         ("It is right to port", "It is right to starboard",),
         exact(('        print("rate %.1f" % (rate() - bias))', '        print("rate", bias - rate())'))),
    Slip("stands", "the tug does not turn",
         ("It turns both ways and prints rates",),
         exact(("for effort in (0.4, 0, -0.4, 0):", "for effort in (0, 0, 0, 0):"))),
    Slip("drives straight on", "the tug does not turn",
         ("It turns both ways and prints rates",),
         exact(("    motor(left_ahead, left_back, -effort)", "    motor(left_ahead, left_back, effort)"))),
    Slip("turns too fast for the range", "faster than the sensor's range",
         ("It is right to port", "It is right to starboard",),
         exact(("for effort in (0.4, 0, -0.4, 0):", "for effort in (0.8, 0, -0.8, 0):"))),
    Slip("prints two lines a second", "too few lines",
         ("It is right to port", "It is right to starboard",),
         exact(("    for k in range(10):\n        time.sleep_ms(100)", "    for k in range(2):\n        time.sleep_ms(500)"))),
)  # fmt: skip
