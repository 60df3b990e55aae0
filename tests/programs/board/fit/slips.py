"""Slips of `board.fit`."""

from tests.checks.slips import Slip, drop, exact, put, swap

DRIVES, COMPILES, READY, QUIET, STRAIGHT, LIGHTS, PINS, SAFE, STOPS = (
    "It drives on every tug",
    "The real compiler takes it",
    "Nothing in it would fail on a board",
    "Motors off first, hands off",
    "It goes straight by its settings",
    "Its side lamps are right by its settings",
    "It uses the pins of its settings",
    "It is safe without settings",
    "It stops by itself",
)
ROUND = r"(?:int|round)\((65535|1023) \* "
SLIPS = (
    Slip("goes astern", "drives astern", (DRIVES,), swap("_ahead", "_back"),
         swap('"ahead"', '"back"'), put(r'\("left", "right"\):\n( +)for way in \("ahead", "back"\)',
         r'("left", "right"):\n\1for way in ("back", "ahead")')),
    Slip("drives for longer", "drives for another time than asked", (STOPS,),
         put(r"time\.sleep\((?:2|1\.8)\)(\n(?:    )?finally|\n +finally)", r"time.sleep(3)\1"),
         put("yield 2000", "yield 3000"), put("period=1900", "period=3000")),
    Slip("exchanges the efforts", "the two efforts exchanged", (STRAIGHT,),
         swap("settings.LEFT_EFFORT", "settings.RIGHT_EFFORT"),
         swap("s.LEFT_EFFORT", "s.RIGHT_EFFORT"),
         swap("ρυθμίσεις.LEFT_EFFORT", "ρυθμίσεις.RIGHT_EFFORT"),
         swap("(0, LEFT_EFFORT)", "(0, RIGHT_EFFORT)"),
         put(r"\(0, LEFT_EFFORT\), \(2, RIGHT_EFFORT\)", "(0, RIGHT_EFFORT), (2, LEFT_EFFORT)")),
    Slip("writes the efforts down", "efforts written into the program", (STRAIGHT,),
         lambda text: put(r"\b(?:s|settings|ρυθμίσεις)\.RIGHT_EFFORT", "0.524")(
             put(r"\b(?:s|settings|ρυθμίσεις)\.LEFT_EFFORT", "0.476")(text)),
         put(r"\(0, LEFT_EFFORT\), \(2, RIGHT_EFFORT\)", "(0, 0.476), (2, 0.524)")),
    Slip("turns the effort upside down", "the effort upside down", (STRAIGHT,),
         put(r"65535 \* \(1 - ([\w.]+)\)", r"65535 * \1"),
         put(r"1023 - round\(1023 \* effort\)", "round(1023 * effort)"),
         put(r"65535 - int\(65535 \* effort\)", "int(65535 * effort)")),
    Slip("forgets the scale", "other efforts than the settings'", (STRAIGHT,),
         put(r"65535 \* (\(1 - )", r"\1"),
         put(r"1023 - round\(1023 \* effort\)", "round(1 - effort)"),
         put(r"65535 - int\(65535 \* effort\)", "int(1 - effort)")),
    Slip("makes its PWM without a duty", "motors not held off at first", (QUIET,),
         put(r", duty(?:_u16)?=0\)", ")")),
    Slip("does not wait", "motors not held off at first", (QUIET,),
         put(r"^( *)time\.sleep\((?:2|2\.2)\)\n(?! *finally)", r"\1time.sleep(0.1)\n"),
         put(r"sleep_ms\(2100\)", "sleep_ms(100)"), put("yield 2050", "yield 50")),
    Slip("leaves the motors on", "motors left on", (STOPS,),
         put(r"^(finally:\n    for pwm in motors:\n) +pwm\.duty_u16\(0\)", r"\1        pass"),
         drop(r"tug\.stop\(\)"), drop(r"κινητήρας\.duty_u16\(0\)"), drop(r"p\.duty_u16\(0\)")),
    # It stops here as it would on a board; the card names the error, in words that hang on the style.
    Slip("uses what a board has not got", "", (READY,),
         put(r"^([ ]*)(np\[0\], np\[1\]|lamps\[0\] =|tug\.light\(0|φως\(0)|^(    )(φως\(0)",
             r'\1\3print("7".zfill(4))\n\1\3\2\4')),
    # Where the line is not reached here, only `ready` finds it.
    Slip("keeps a line that a board has not got", "a board would stumble", (READY,),
         put(r"^([ ]*)(np\[0\], np\[1\]|lamps\[0\] =|tug\.light\(0|φως\(0)",
             r'\1if "a" > "b":\n\1    print("7".zfill(4))\n\1\2')),
    Slip("writes what the compiler refuses", "does not compile for a board", (COMPILES,),
         put(r"^([ ]*)(np\[0\], np\[1\]|lamps\[0\] =|tug\.light\(0|lamps\[0\], lamps|φως\(0)",
             r"\1print(f'{7!a}')\n\1\2"),
         put(r"^(    )(φως\(0)", r"\1print(f'{7!a}')\n\1\2")),
    Slip("misspells a role", "stops with an error on another tug", (DRIVES,),
         put(r'(\.PINS|pins)\["lamps"\](?! = )', r'\1["lamp"]')),
    Slip("lights one side lamp", "a side lamp is dark or shows another colour", (LIGHTS,),
         drop(r"^lamps\[0\] ="), drop(r"tug\.light\(0"), drop(r"φως\(0"),
         put(r"np\[0\], np\[1\] = \(60, 0, 0\)", "np[0], np[1] = (0, 0, 0)")),
    Slip("ignores the lamp order", "lamp order written into the program", (LIGHTS,),
         put(r'LAMP_ORDER == "RGB"', 'LAMP_ORDER == "none"'), put(r'\[0\] == "R"', '[0] == "none"')),
    Slip("exchanges the bows", "port and starboard exchanged", (LIGHTS,),
         swap("lamps[0] =", "lamps[1] ="), swap("tug.light(0", "tug.light(1"),
         swap("φως(0", "φως(1"),
         put(r"np\[0\], np\[1\]", "np[1], np[0]")),
    Slip("has its own lamp pin", "pins written into the program", (PINS,),
         put(r'Pin\((?:settings|ρυθμίσεις)\.PINS\["lamps"\] if .* else 13\)', "Pin(13)"),
         put(r'Pin\((?:pins|PINS)\["lamps"\]\)', "Pin(13)")),
    Slip("calls steadily", "calls otherwise than asked", (SAFE,),
         put(r"deck\(\(0, 0, 0\)\)(\n    )", r"deck((120, 50, 0))\1"),
         put(r"\(\(90, 60, 0\), \(0, 0, 0\)\)", "((90, 60, 0), (90, 60, 0))"),
         put(r"φως\(4, 0, 0, 0\)", "φως(4, 110, 60, 0)"),
         put(r"\(0, 0, 0\) if np\[4\]\[0\] else \(100, 50, 0\)", "(100, 50, 0)")),
    Slip("calls too slowly", "calls otherwise than asked", (SAFE,),
         put(r"sleep_ms\(2[56]0\)", "sleep_ms(600)"), put("yield [23]00$", "yield 600"),
         put("period=250", "period=600")),
    Slip("does not catch the missing file", "not safe without settings", (SAFE,),
         put(r"except ImportError:", "except KeyError:")),
    Slip("leaves the motors braked", "motors braked at the end, not off", (STOPS,),
         put(r"\bpwm\.duty_u16\(0\)", "pwm.duty_u16(65535)")),
    Slip("keeps all settings in the program", "pins written into the program",
         ("It uses the pins of its settings", "It is safe without settings",),
         exact(("try:\n"
                "    import settings\n"
                "except ImportError:\n"
                "    settings = None", "class settings:\n"
                "    PINS = {\"left_ahead\": 25, \"left_back\": 26, \"right_ahead\": 27, \"right_back\": 14, \"lamps\": 13}\n"
                "    LAMP_ORDER = \"GRB\"\n"
                "    LEFT_EFFORT = 0.476\n"
                "    RIGHT_EFFORT = 0.524"))),
    Slip("drives without settings", "not safe without settings",
         ("It is safe without settings",),
         exact(("    settings = None", "    class settings:\n"
                "        PINS = {\"left_ahead\": 25, \"left_back\": 26, \"right_ahead\": 27, \"right_back\": 14, \"lamps\": 13}\n"
                "        LAMP_ORDER = \"GRB\"\n"
                "        LEFT_EFFORT = 0.476\n"
                "        RIGHT_EFFORT = 0.524"))),
    Slip("drives in fast decay", "fast decay where slow decay was asked",
         ("It goes straight by its settings",),
         exact(("    motors[0].duty_u16(65535)\n"
                "    motors[1].duty_u16(int(65535 * (1 - settings.LEFT_EFFORT)))\n"
                "    motors[2].duty_u16(65535)\n"
                "    motors[3].duty_u16(int(65535 * (1 - settings.RIGHT_EFFORT)))", "    motors[0].duty_u16(int(65535 * settings.LEFT_EFFORT))\n"
                "    motors[2].duty_u16(int(65535 * settings.RIGHT_EFFORT))"))),
    Slip("keeps the pins in the program", "pins written into the program",
         ("It uses the pins of its settings",),
         exact(('            motors.append(PWM(Pin(settings.PINS[side + "_" + way]), freq=1000, duty_u16=0))', '            motors.append(PWM(Pin({"left_ahead": 25, "left_back": 26, "right_ahead": 27, "right_back": 14}[side + "_" + way]), freq=1000, duty_u16=0))'))),
)  # fmt: skip
