from tests.checks.motor_slips import no_motor_there
from tests.checks.slips import Slip, drop, exact, put

BOTH, ON_LINE = "Every eye sees paper and line", "It stands on the line again"
WHITE, BLACK = "It reports the four counts of white", "It reports the four counts of black"
FORM = "the report has not the form agreed"

SLIPS = (
    no_motor_there(ON_LINE),
    Slip("leaves the attenuation out", "attenuation not set", (BLACK,),
         put(r", atten=(ADC\.ATTN_11DB|3)", ""), drop(r"\.atten\(ADC")),
    Slip("takes the attenuation of 6 dB", "attenuation not set", (BLACK,),
         put(r"ATTN_11DB", "ATTN_6DB"), put(r"atten=3", "atten=2")),
    Slip("names the pins from starboard", "eyes in the wrong order", (WHITE,),
         put(r"\(36, 39, 34, 35\)", "(35, 34, 39, 36)")),
    Slip("names the pins by number", "eyes in the wrong order", (WHITE,),
         put(r"\(36, 39, 34, 35\)", "(34, 35, 36, 39)")),
    Slip("turns to port alone", "the swing does not bring every eye over both", (BOTH,),
         drop(r"^swing\(0\.4"), put(r", \(starboard, 140\), \(port, 70\)\)", ",)"),
         put(r", \(-1, 84\), \(1, 42\)\)", ",)")),
    Slip("hardly turns", "the swing does not bring every eye over both", (BOTH,),
         put(r", 350\)", ", 60)"), put(r", 700\)", ", 120)"), put(r"sleep_ms\(340\)", "sleep_ms(60)"),
         put(r"42\)", "6)")),
    Slip("reports on the 16-bit scale", "counts in the 16-bit scale", (WHITE, BLACK),
         put(r"\.read\(\)$", ".read_u16()")),
    Slip("exchanges white and black", "black and white exchanged", (WHITE, BLACK),
         put(r"white\[k\], \"black\", black\[k\]", 'black[k], "black", white[k]'),
         put(r"ranked\[3\], ranked\[-4\]", "ranked[-4], ranked[3]"),
         put(r"eye\.low, eye\.high\)", "eye.high, eye.low)")),
    Slip("prints two lists", FORM, (WHITE, BLACK),
         put(r'^for k in range\(4\):\n    print\(.*\)', "print(white, black)")),
    Slip("leaves the words out", FORM, (WHITE, BLACK),
         put(r'"eye", k, "white", white\[k\], "black", black', '"eye", k, white[k], black'),
         put(r"eye %d white %d black %d", "%d: %d %d"), put(r"eye \{\} white \{\} black", "{}: {}"),
         put(r'"white", (sum.*), "black",', r"\1,")),
    Slip("keeps the last counts", "neither the lowest nor the highest count", (WHITE, BLACK),
         put(r"(min|max)\((white|black)\[k\], count\)", "count")),
    Slip("prints before the swing", "the lists still hold what they began with", (WHITE, BLACK),
         lambda program: _earlier(program)),
    Slip("leaves the motors on", "motors left on", (ON_LINE,),
         drop(r"pwm\.duty_u16\(0\)"), drop(r"παλμός\.duty_u16\(0\)")),
    Slip("leaves the motors braked", "motors left braked", (ON_LINE,),
         put(r"^    pwm\.duty_u16\(0\)", "    pwm.duty_u16(65535)"), drop(r"^duties\(0, 0, 0, 0\)"),
         put(r"παλμός\.duty_u16\(0\)", "παλμός.duty_u16(65535)")),
    Slip("gives the duties in percent", "duty in the wrong scale", (BOTH,),
         lambda program: put("39000|39321", "60")(put("65535", "100")(program))),
    Slip("turns away at last", "does not come back to the line", (ON_LINE,),
         put(r"^swing\(-0\.4, 0\.4, 350\)\nfor", "swing(0.4, -0.4, 350)\nfor"),
         put(r"\(starboard, 140\), \(port, 70\)", "(starboard, 140), (starboard, 70)")),
    Slip("mistypes a name", "the program stopped with an error", (BOTH,),
         put(r"ADC\.ATTN_11DB", "ADC.ATTN_11")),
    Slip("prints numbers of another day", "the same numbers on two tugs",
         ("It reports the four counts of black",),
         exact(('    print("eye", k, "white", white[k], "black", black[k])', '    print("eye", k, "white", (1350, 765, 830, 1490)[k], "black", (3880, 3800, 3800, 3880)[k])'))),
    Slip("prints one pair of numbers of another day", "the same numbers on two tugs",
         (WHITE, BLACK),
         put(r'"white", white\[k\], "black", black\[k\]', '"white", 1040, "black", 3915'),
         put(r"ranked\[3\], ranked\[-4\]", "1040, 3915"), put(r"eye\.low, eye\.high\)", "1040, 3915)")),
    Slip("begins both lists at zero", "the lists still hold what they began with", (WHITE,),
         put(r"white = \[4095.*", "white = [0, 0, 0, 0]"), put(r": \[4095, 0\]", ": [0, 0]")),
    Slip("does not sleep in its loop", "no sleep in the loop",
         ("Every eye sees paper and line",),
         exact(("        time.sleep_ms(10)", ""))),
    Slip("takes one pair of numbers for all eyes", "same numbers for unequal eyes",
         ("It reports the four counts of white",),
         exact(("            white[k] = min(white[k], count)\n"
                "            black[k] = max(black[k], count)", "            white[:] = [min(white[k], count)] * 4\n"
                "            black[:] = [max(black[k], count)] * 4"))),
    Slip("prints volts", "the report has not the form agreed",
         ("It reports the four counts of white", "It reports the four counts of black",),
         exact(('    print("eye %d white %d black %d" % (number, ranked[3], ranked[-4]))', '    print("%d: %.2f V to %.2f V" % (number, ranked[3] * 3.1 / 4095, ranked[-4] * 3.1 / 4095))'))),
)  # fmt: skip


def _earlier(program: str) -> str:
    """Move the last lines, which print, before the swing."""
    swing, told = "\n\nswing(", "for k in range(4):\n    print"
    if swing not in program or told not in program:
        return program
    lines = program[program.index(told):]
    return program.replace(lines, "").replace(swing, f"\n\n{lines}\nswing(", 1)
