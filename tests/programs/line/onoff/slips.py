from tests.checks.motor_slips import no_motor_there
from tests.checks.slips import Slip, drop, exact, put, swap

ROUND, KEEPS, STOPS = "It goes round the quay", "It keeps to the line", "It stops at the end"

SLIPS = (
    no_motor_there(ROUND),
    Slip("leaves the attenuation out", "attenuation not set", (ROUND,),  # counts may be told apart
         lambda p: p.replace(", atten=ADC.ATTN_11DB", "") if "read_uv" in p else p),
    Slip("turns the sign", "correction with the wrong sign", (ROUND,),
         swap("(0.3, 0.7)", "(0.7, 0.3)"), swap("go(SLOW, FAST)", "go(FAST, SLOW)"),
         swap("(0.25, 0.65)", "(0.65, 0.25)"),
         put(r"2 \* see\[0\] \+ see\[1\] - see\[2\] - 2 \* see\[3\]",
             "see[2] + 2 * see[3] - 2 * see[0] - see[1]")),
    Slip("names the pins by number", "eyes in the wrong order", (ROUND,),
         put(r"\(36, 39, 34, 35\)", "(34, 35, 36, 39)")),
    Slip("puts the threshold too high", "threshold outside the readings", (ROUND,),
         put(r"\(w \+ b\) / 2", "4000"), put(r"> 1700000", "> 3200000"), put(r"> 2200", "> 4000")),
    Slip("puts the threshold too low", "threshold outside the readings", (ROUND,),
         put(r"\(w \+ b\) / 2", "-1"), put(r"> 1700000", "> 100000"), put(r"> 2200", "> 100"),
         put(r"HALF = 2250", "HALF = 100")),
    Slip("takes long rounds", "loop too slow", (ROUND,),
         put(r"sleep_ms\((15|20|30|40)\)", "sleep_ms(250)"), put(r"freq=40,", "freq=4,")),
    Slip("steers too little", "gain too low", (ROUND,),
         lambda p: put(r"\(0\.7, 0\.3\)", "(0.53, 0.47)")(put(r"\(0\.3, 0\.7\)", "(0.47, 0.53)")(p)),
         lambda p: put(r"\(0\.65, 0\.25\)", "(0.48, 0.42)")(put(r"\(0\.25, 0\.65\)", "(0.42, 0.48)")(p))),
    Slip("counts the clock in seconds", "the program ends too soon", (ROUND,),
         put(r"< 26000", "< 27"), put(r", 29000\)", ", 29)")),
    Slip("ends after ten seconds", "the program ends too soon", (ROUND,),
         put(r"< 26000", "< 10000"), put(r", 29000\)", ", 10000)"), put(r"range\(1300\)", "range(400)"),
         put(r"range\(900\)", "range(300)"), put(r"sleep\(28\)", "sleep(10)")),
    Slip("never ends", "motors left on", (STOPS,),
         put(r"^while .*26000:", "while True:"), put(r"^for _ in range\((900|1300)\):", "while True:"),
         put(r"^while .*> 0:", "while True:"), put(r"sleep\(28\)", "sleep(60)")),
    Slip("leaves the motors on", "motors left on", (STOPS,),
         drop(r"pwm\.(duty_u16\(0\)|deinit\(\))"), drop(r"^act\(\(0, 0\)\)|^\[pwm\.duty_u16"),
         drop(r"pwm\.duty\(0\)")),
    Slip("leaves the motors braked", "motors left braked", (STOPS,),
         put(r"^    pwm\.(duty_u16\(0\)|deinit\(\))", "    pwm.duty_u16(65535)"),
         drop(r"^\[pwm\.duty_u16"), put(r"^        pwm\.duty\(0\)", "        pwm.duty(1023)")),
    Slip("drives too slowly", "too slow for the time", (ROUND,),
         lambda p: put(r"26000", "40000")(put(r"\(0\.5, 0\.5\)", "(0.3, 0.3)")(
             put(r"\(0\.7, 0\.3\)", "(0.42, 0.2)")(put(r"\(0\.3, 0\.7\)", "(0.2, 0.42)")(p)))
         ) if "26000" in p else p),
    Slip("mistypes a name", "the program stopped with an error", (ROUND,),
         put(r"ADC\.ATTN_11DB", "ADC.ATTN_11")),
    Slip("gives its duties in another scale", "duty in the wrong scale",
         ("It goes round the quay",),
         exact(("    ahead.duty_u16(65535)\n"
                "    back.duty_u16(int(65535 * (1 - abs(effort))))", "    ahead.duty_u16(255)\n"
                "    back.duty_u16(int(255 * (1 - abs(effort))))"))),
    Slip("does not sleep in its loop", "no sleep in the loop",
         ("It goes round the quay",),
         exact(("    time.sleep_ms(20)\n"
                "for pwm in tug.pins:\n"
                "    pwm.duty_u16(0)", "tug.efforts(0, 0)"))),
    Slip("exchanges the inner eyes", "eyes in the wrong order",
         ("It goes round the quay",),
         exact(("port, starboard = ADC(Pin(39), atten=ADC.ATTN_11DB), ADC(Pin(34), atten=ADC.ATTN_11DB)", "port, starboard = ADC(Pin(34), atten=ADC.ATTN_11DB), ADC(Pin(39), atten=ADC.ATTN_11DB)"),
               ("for pair in wheels.values():\n"
                "    for pwm in pair:\n"
                "        pwm.duty(0)", "go(1023, 1023)"))),
    Slip("reads once before the loop", "reads once before the loop",
         ("It goes round the quay",),
         exact(("begin = time.ticks_ms()", "dark = [EYES[k].read() > threshold[k] for k in range(4)]\n"
                "begin = time.ticks_ms()"),
               ("    dark = [EYES[k].read() > threshold[k] for k in range(4)]", ""))),
    Slip("takes a low count for dark", "",
         ("It goes round the quay",),
         exact(("    see = [1 if eye.read() > 2200 else 0 for eye in eyes]", "    see = [1 if eye.read() < 2200 else 0 for eye in eyes]"),
               ("    pwm.deinit()", "    pwm.duty_u16(65535)"))),
    Slip("does not look", "the eyes are not read",
         ("It goes round the quay",),
         exact(("    now = TODO.get(look(), now)", "    now = AHEAD"),
               ("time.sleep_ms(200)\n[pwm.duty_u16(0) for pwm in out]", ""))),
    Slip("has its threshold in another scale", "threshold outside the readings",
         ("It goes round the quay",),
         exact(("last = 1", "last = 1  # to port"),
               ("    see = [1 if eye.read() > 2200 else 0 for eye in eyes]", "    see = [1 if eye.read() > 32768 else 0 for eye in eyes]"),
               ("    pwm.deinit()", "    pwm.duty_u16(65535)"))),
    Slip("drives with full effort", "gain too low",
         ("It goes round the quay",),
         exact(("AHEAD, PORT, STAR = (0.5, 0.5), (0.3, 0.7), (0.7, 0.3)", "AHEAD, PORT, STAR = (1.0, 1.0), (0.8, 1.0), (1.0, 0.8)"),
               ("time.sleep_ms(200)\n[pwm.duty_u16(0) for pwm in out]", ""))),
)  # fmt: skip
