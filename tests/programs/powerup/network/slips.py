"""Slips in `powerup.network`."""

from tests.checks.slips import Slip, drop, exact, put

FIRST, ON, ORDER = (
    "It joins the first on the list", "It goes on where one does not let it in",
    "It keeps to the list, from first to last",
)
SECRETS, TIME, LAMP = (
    "It takes them from secrets.py", "It gives each its time", "Its lamp tells the state"
)
CALLS, MOTORS = "It calls for help when none is left", "Its motors stay off"
OWN = (
    '[("pier", "gull-and-herring"), ("boathouse", "oakum-and-tar"), ("harbour", "lighthouse")]'
)


def listed(as_what):
    """Go through the list in another way."""
    return (
        put(r"in NETWORKS:", f"in {as_what.format('NETWORKS')}:"),
        put(r"list\(pairs\)", as_what.format("list(pairs)")),
        put(r"in secrets\.NETWORKS", f"in {as_what.format('secrets.NETWORKS')}"),
        put(r"in KNOWN", f"in {as_what.format('KNOWN')}"),
    )


def waits(seconds):
    """Give each network another time."""
    return (
        put(r"range\(60\)", f"range({10 * seconds})"), put("seconds=8", f"seconds={seconds}"),
        put(r"взгляды\(25\)", f"взгляды({5 * seconds})"), put("5000", f"{1000 * seconds}"),
    )


SLIPS = (
    Slip("takes the last first", "another order than the list's", (ORDER,), *listed("{}[::-1]")),
    Slip("sorts the list", "another order than the list's", (ORDER,), *listed("sorted({})")),
    Slip("leaves the first out", "another order than the list's", (ORDER,), *listed("{}[1:]")),
    Slip("waits for 1 s", "gives up too soon", (TIME,), *waits(1)),
    Slip("waits for 14 s", "waits too long for one network", (TIME,), *waits(14)),
    Slip("waits for ever", "waits for ever for one network", (TIME,), *waits(1000)),
    Slip(
        "leaves the brackets out", "white before it has joined", (ORDER, LAMP),
        put(r"if (wlan|self\.wlan)\.isconnected\(\)", r"if \1.isconnected"),
    ),
    Slip(
        "does not disconnect", "the program stopped with an error", (ON,), drop(r"\.disconnect\(")
    ),
    Slip("leaves the radio off", "the program stopped with an error", (FIRST,),
         drop(r"\.active\(")),
    Slip("goes on after it has joined", "goes on after it has joined", (ORDER,),
         put(r"^( +)break$", r"\1pass")),
    Slip(
        "lights the stern", "wrong lamp", (LAMP,),
        put(r"(np|lamps|огни)\[4\]", r"\1[3]"),
    ),
    Slip("speaks to pin 12", "wrong pin for the lamps", (LAMP,), put(r"Pin\(13\)", "Pin(12)")),
    Slip("leaves write() out", "write() forgotten", (LAMP,), drop(r"\.write\(\)")),
    Slip(
        "shows blue for violet", "the lamp tells another state", (LAMP,),
        put(r"\(60, 0, 90\)", "(0, 0, 90)"), put(r"\(40, 0, 60\)", "(0, 0, 60)"),
        put(r"\(50, 0, 80\)", "(0, 0, 80)"), put(r"\(0, 40, 70\)", "(0, 0, 70)"),
    ),
    Slip(
        "leaves the motors alone", "motors not held off", (MOTORS,),
        put(r"^for n in \(25.*\n.*\n", ""), put(r"^(motors|held|PINS) = .*$", r"\1 = ()"),
    ),
    Slip(
        "drives a little", "motors not held off", (MOTORS,),
        put(r"^(import time|from time import sleep_ms)$", r"\1\nPin(25, Pin.OUT, value=1)"),
    ),
    Slip(
        "sets the lamp up first", "something else comes before the motors", (MOTORS,),
        put(r"^(motors|held|PINS|for n in) ", r"Pin(13, Pin.OUT)\n\1 "),
    ),
    Slip(
        "calls nobody", "does not call for help", (CALLS,),
        put(r"^(    |)while True:\n( +)show", r"\1while False:\n\2show"),
        put("^deck.call", "deck.show"), put("^while not готово", "while False"),
        put("blink\\(10\\)", "time.sleep(5)"), put(r"for _ in range\(20\)", "for _ in ()"),
    ),
    Slip(
        "blinks wildly", "blinks too fast", (CALLS,),
        put(r"sleep_ms\((250|240|200|300)\)", "sleep_ms(60)"),
    ),
    Slip(
        "prints the password", "a password is printed", (SECRETS,),
        put(r"^(\s+)((?:wlan|station|self\.wlan|связь)\.connect\((\w+), (\w+)\))",
            r"\1print(\3, \4)\n\1\2"),
    ),
    Slip(
        "writes the list into the program", "secrets written into the program", (SECRETS,),
        put("^from secrets import NETWORKS$", f"NETWORKS = {OWN}"),
        put("^from secrets import NETWORKS as KNOWN$", f"KNOWN = {OWN}"),
        put(r"secrets\.NETWORKS", OWN),
    ),
    Slip(
        "takes one password for all", "wrong password", (ON,),
        put(r"\.connect\((\w+), (key|ключ)\)", r'.connect(\1, "gull-and-herring")'),
    ),
    Slip("puts the list into a dict", "another order than the list's", (SECRETS,),
         *listed("dict({}).items()")),
    Slip("tries the first only, again and again", "asks for the same network again and again",
         ("It goes on where one does not let it in",),
         exact(("for name, key in NETWORKS:", "for name, key in NETWORKS[:1] * 5:"))),
    Slip("leaves the lamp as it was", "the lamp tells another state",
         ("Its lamp tells the state",),
         exact(("        show((60, 60, 60))", ""))),
    Slip("asks for none", "no network asked for",
         ("It joins the first on the list",),
         exact(("    if join(name, key):", "    if False:"))),
    Slip("waits for the first without end", "waits for ever for one network",
         ("It goes on where one does not let it in",),
         exact(("    for _ in range(60):\n"
                "        if wlan.isconnected():\n"
                "            return True", "    while not wlan.isconnected():"),
               ("    wlan.disconnect()\n    return False", "    return True"))),
)  # fmt: skip
