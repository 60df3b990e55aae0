"""Rules: what to try after an exception, by its kind, its message and the line it came from."""

from __future__ import annotations

from typing import NamedTuple

from ..wiring import PINS

__all__ = ["INSTEAD", "JSON_WORDS", "OF_THE_NOTEBOOK", "RULES", "TUG_FILE", "Rule"]

TUG_FILE = 'tug="powerup-card/tug.json"'
"""How a call names the tug whose settings a board without any gets."""
INSTEAD = {
    "datetime": "the board's clock is in time: time.localtime(), time.ticks_ms().",
    "dataclasses": "write a class with __init__, or use collections.namedtuple.",
    "decimal": "the board counts with int and float only.",
    "enum": "give the values names yourself: STOP = 0, AHEAD = 1.",
    "functools": "the firmware has not got it: write the few lines as a function of your own.",
    "itertools": "the firmware has not got it: loops and range() do the same.",
    "logging": "use print(), or write lines to a file: open('log.txt', 'a').",
    "matplotlib": "print the numbers on the board, and draw them in the notebook.",
    "multiprocessing": "the board has one processor for programs: asyncio lets tasks take turns.",
    "numpy": "the board has lists, and the modules math and array.",
    "pandas": "the board has lists and dicts; look at tables in the notebook.",
    "pathlib": "use os.listdir(), os.stat() and open() with the file's name.",
    "pickle": "use json.dumps() and json.loads().",
    "queue": "use a list, or collections.deque((), 20).",
    "requests": "orders and reports go by radio here: from umqtt.simple import MQTTClient.",
    "scipy": "the board has the module math; do larger sums in the notebook.",
    "secrets": "it is a file of your own: run the cell that begins with %%program secrets.py.",
    "settings": "it is a file of your own, and none is on this board: run the cell that begins with"
    " %%program settings.py (the lesson \"Onto a real board\" has one to copy), or give run the"
    f" file of a tug's power-up: {TUG_FILE}.",
    "shutil": "use os.rename() and os.remove(), and open() to copy.",
    "signal": "use machine.Timer for a time, and Pin.irq() for a switch.",
    "statistics": "a mean is sum(values) / len(values).",
    "string": "write the characters that you need as a text of your own.",
    "subprocess": "nothing but your program runs on the board.",
    "tempfile": "open() a file of the board, and os.remove() it afterwards.",
    "textwrap": "cut texts with slices: text[:20].",
    "threading": "use asyncio for tasks that take turns, or machine.Timer.",
    "tkinter": "the board has no screen: print(), or show it with the lamps.",
    "types": "the board does without it; type(x) tells what something is.",
    "typing": "leave the import out: hints such as x: int need none of it.",
    "urllib": "orders and reports go by radio here: from umqtt.simple import MQTTClient.",
    "warnings": "use print().",
}
"""Module that the board has not, to what can be used in its place."""
OF_THE_NOTEBOOK = frozenset(
    "IPython PIL bokeh checks cv2 ipykernel ipywidgets jupyter micropip nbgrader notebook plotly "
    "pyodide robotsim seaborn skimage sklearn sympy torch".split()
)
"""Packages that a notebook's ordinary cells may import, and of which the board has nothing."""

JSON_WORDS = {"true": "True", "false": "False", "null": "None"}
"""What JSON writes, to what Python writes for it."""
_MOTORS = (
    f"{PINS['left_ahead']} and {PINS['left_back']}, {PINS['right_ahead']} and {PINS['right_back']}"  # noqa: E501
)
_FORTY = "duty_u16(int(0.4 * 65535)) is on for 40 of 100."
_HANDED_OVER = (
    r"\b(?:set_callback|irq|schedule)\(\s*[\w.]+\(\s*\)|\b(?:callback|handler)\s*=\s*[\w.]+\(\s*\)"
)
"""A call with empty brackets where the function itself is asked for."""
_COLOUR_GIVEN = r"^\s*[\w.]+\[[^\]]*\]\s*=[^=\[]*$|\.fill\([^\[]*$"
"""A line on which nothing but a lamp's own place can have an index."""
_EYES = ", ".join(str(PINS[f"eye_{k}"]) for k in range(4))


class Rule(NamedTuple):
    """Patterns that an exception must meet, and what to try then."""

    kind: str
    message: str
    hint: str
    source: str = ""


RULES = (
    Rule(".*", "", "this line raises when it should; what is missing is who catches it: put the "
         "call into a try:, with an except for this kind of error below.", r"^\s*raise\b"),
    Rule("ValueError", r"^invalid pin$",
         f"only pins 32 to 39 and a few others measure a voltage. The eyes are on {_EYES}, the "
         f"battery on {PINS['battery']}.", r"ADC\("),
    Rule("ValueError", r"^invalid pin$",
         "pins have numbers: 0 to 5, 12 to 23, 25 to 27, 32 to 39. The tug's lamps are on "
         f"{PINS['lamps']}, its motors on {_MOTORS}."),
    Rule("ValueError", r"^invalid pin mode$", "use Pin.IN or Pin.OUT."),
    Rule("ValueError", r"pin can only be input",
         "pins 34 to 39 can listen, but put nothing out: use another pin for what you drive."),
    Rule("ValueError", r"duty_u16 must be", f"it counts from 0, never, to 65535, always: {_FORTY}"),
    Rule("ValueError", r"duty_ns must be from 0 to (\d+) ns",
         r"one cycle lasts \1 ns, and no pulse can be longer."),
    Rule("ValueError", r"duty must be",
         "duty() counts from 0 to 1023. A larger number may be meant for "
         "duty_u16(), which counts to 65535; to go astern, drive the motor's other pin."),
    Rule("ValueError", r"only one of parameters", "give the duty on one scale only."),
    Rule("ValueError", r"out of PWM timers:8",
         "the board makes at most eight different frequencies at a time: let pins share one."),
    Rule("ValueError", r"out of PWM channels:16", "deinit() a pulse train that is needed no more."),
    Rule("ValueError", r"frequency must be from 1Hz", "a pulse train needs a frequency: 1000 Hz "
         "suits the motors, 50 Hz the arm."),
    Rule("RuntimeError", r"PWM is inactive",
         "the pulse train was taken off, by deinit() or by Pin(...): make a new PWM(...)."),
    Rule("ValueError", r"invalid Timer number", "the board has the timers 0, 1, 2 and 3."),
    Rule("ValueError", r"period must be positive", "a period counts milliseconds: period=20."),
    Rule("ValueError", r"I2C\(.*\) doesn't exist", "the board has the buses 0 and 1."),
    Rule("OSError", r"Errno 19\b",
         "nobody answers at that address. Are scl (22) and sda (21) the right way round? "
         "bus.scan() gives the addresses that answer, and hex() writes one as 0x68.",
         r"I2C|read|write|scan|bus|\w"),
    Rule("OSError", r"Errno 2\b",
         "there is no file of that name on the board: os.listdir() tells which there are."),
    Rule("OSError", r"Errno 17\b", "there is one of that name already."),
    Rule("OSError", r"Errno 28\b", "the flash is full: os.remove() what is needed no more."),
    Rule("OSError", r"Errno 9\b", "is the file open for that? 'r' reads, 'w' and 'a' write."),
    Rule("OSError", r"Errno 21\b", "that is a folder, not a file."),
    Rule("ValueError", r"closed file", "the file was closed before: do it inside the with block."),
    Rule("TypeError", r"can't convert float to int",
         "it takes whole milliseconds: time.sleep_us(500) waits for half of one.", r"sleep_ms"),
    Rule("TypeError", r"can't convert (?:float|str) to int",
         f"it counts whole numbers, from 0, never, to 65535, always: {_FORTY}", r"duty_u16"),
    Rule("TypeError", r"can't convert (?:float|str) to int",
         "it counts whole numbers, from 0, never, to 1023, always: duty(int(0.4 * 1023)) is on for "
         "40 of 100.", r"\bduty\b"),
    Rule("TypeError", r"can't convert float to int",
         "int(x) cuts a number to a whole one, round(x) rounds it."),
    Rule("TypeError", r"can't convert str to int",
         "a text is no number: int('5') makes one of it."),
    Rule("TypeError", r"can't convert str to float",
         "a text is no number: float('0.5') makes one of it."),
    Rule("TypeError", r"can't convert NoneType to", "a function that returns nothing gives None: "
         "is a return missing in it?"),
    Rule("TypeError", r"can't convert (\w+) to (int|float)", r"a \1 is no number."),
    Rule("TypeError", r"buffer protocol required",
         "the bus carries bytes: bytes([5]) for one byte, b'\\\\x05' likewise."),
    Rule("ValueError", r"invalid syntax for (integer|number)",
         "the text holds something else than a number: print(repr(text)) shows what."),
    Rule("ValueError", r"syntax error in JSON",
         'print(repr(text)) shows what arrived; JSON needs double quotes: {"speed": 0.2}. What '
         "others send may be none: catch ValueError."),
    Rule("ValueError", r"buffer too small", "unpack needs as many bytes as the pattern names: 'h' "
         "is two."),
    Rule("TypeError", r"unsupported types for __add__: '(str)', '(\w+)'",
         "str(x) makes a text of a number, or write f'{x}' with an f before the quotes."),
    Rule("TypeError", r"unsupported types for __add__: '(\w+)', '(str)'",
         "a text is no number: int(text) makes one of it, str(number) makes a text."),
    Rule("TypeError", r"unsupported types for __\w+__: (?:'NoneType'|.* 'NoneType')",
         "one of the two is None: a function without return gives that."),
    Rule("TypeError", r"unsupported types? for __\w+__: ",
         "print(type(x)) of what stands on either side shows which is not what it should be."),
    Rule("TypeError", r"'NoneType' object isn't (callable|subscriptable|iterable)",
         "it is None: a function without return gives that."),
    Rule("TypeError", r"'(\w+)' object isn't callable",
         "hand over the function itself, its name without brackets: handler=look, not "
         "handler=look().", r"irq|Timer|callback|handler|schedule"),
    Rule("TypeError", r"'(\w+)' object isn't callable",
         r"only functions can be called, and this is of the kind \1: was the name given another "
         "value above, or is an operator missing before the bracket?"),
    Rule("TypeError", r"'(int|float)' object isn't (subscriptable|iterable)",
         r"one number has no parts: range(n) counts to n."),
    Rule("TypeError", r"'(tuple|str)' object doesn't support item assignment",
         r"a \1 cannot be changed in part: make a new one, or use a list."),
    Rule("TypeError", r"(\w+)\(\) takes \d+ positional arguments but",
         r"a function is handed over by its name alone: \1, not \1(), which calls it at once.",
         _HANDED_OVER),
    Rule("TypeError", r"(\w+)\(\) takes (\d+) positional arguments but (\d+) were given",
         r"look at the line def \1(...), and count; a method counts self, too."),
    Rule("TypeError", r"(unexpected|extra) keyword argument",
         "it takes other names: with the cursor between the brackets, Shift-Tab shows them."),
    Rule("TypeError", r"function missing|function takes|got multiple values",
         "with the cursor between the brackets, Shift-Tab shows what it needs."),
    Rule("TypeError", r"coroutine expected",
         "call the function: blink() is a coroutine that can run, blink only its name."),
    Rule("TypeError", r"indices must be integers", "an index is a whole number: int(x) makes one."),
    Rule("TypeError", r"__hash__", "a dict's keys and a set's members must be fixed: a tuple is."),
    Rule("IndexError", r"bytearray index", "counting begins at 0: five lamps are 0 to 4.", r"\["),
    Rule("IndexError", r"tuple index",
         "it has fewer values than are asked for; a colour needs three: (red, green, blue).",
         _COLOUR_GIVEN),
    Rule("IndexError", r"out of range",
         "counting begins at 0: the last of n is number n - 1, or -1."),
    Rule("IndexError", r"pop from", "it is empty: test with `if items:` first."),
    Rule("KeyError", r"^(.*)$",
         r"the dict has no key \1. print(list(NAME)) shows its keys; NAME.get(key, 0) gives 0 "
         "where there is none."),
    Rule("ZeroDivisionError", r"", "which value can be 0? Look with print(), and test it with if."),
    Rule("NameError", r"local variable referenced before assignment",
         "a name that is given a value within a function is the function's own: write `global "
         "NAME` in its first line, or hand the value over."),
    Rule("RuntimeError", r"maximum recursion depth",
         "a function calls itself again and again: use a loop, and stop when it is done."),
    Rule("RuntimeError", r"schedule queue full",
         "eight wait already: schedule less, or less often."),
    Rule("MemoryError", r"", "the board has about 100 kB free: keep fewer values, or write them to "
         "a file as they come."),
    Rule("NotImplementedError", r"only slices with step=1",
         "the board's slices of texts and tuples have no step: use reversed(), or a loop."),
    Rule("ValueError", r"(need more than|too many values to unpack)",
         "as many names must stand left of the = as there are values on the right."),
    Rule("ValueError", r"object not in sequence", "test with `if x in items:` first."),
    Rule("ValueError", r"math domain error",
         "there is no such value, such as the root of a negative number: test before."),
    Rule("OverflowError", r"", "the number needs more bytes than it was given."),
    Rule("AttributeError", r"'(int|str)' object has no attribute '(init|number)'",
         "it needs a pin, not its number: NeoPixel(Pin(13), 5).", r"NeoPixel"),
    Rule("AttributeError", r"'NoneType' object has no attribute '(\w+)'",
         r"what stands before .\1 is None: a function without return gives that."),
    Rule("AttributeError", r"'(\w+)' object has no attribute '(\w+)'",
         r"what stands before .\2 is of the kind \1, which has none: print() it to see."),
    Rule("SyntaxError", r"", "the board's language has not got this, or there is a character that "
         "belongs in no program: ready('main.py') tells more."),
    Rule("OSError", r"^-202\b",
         "no network yet, or no such computer on it: wait until wlan.isconnected() is true."),
    Rule("OSError", r"ECONNREFUSED",
         "no broker answers there just now: catch OSError, wait a little, connect() again."),
    Rule("OSError", r"^-1$|ECONNRESET|ENOTCONN|EHOSTUNREACH|ETIMEDOUT",
         "the connection is gone: catch OSError, then connect() and subscribe() anew."),
    Rule("OSError", r"Wifi Not Started", "switch the radio on first: wlan.active(True)."),
    Rule("OSError", r"Wifi Internal State Error",
         "it is busy with another network: wlan.disconnect() before the next connect()."),
    Rule("OSError", r"Wifi Invalid Argument",
         "connect(name, password): which is which, and how many letters have they?"),
    Rule("AssertionError", r"Subscribe callback",
         "say first what to call: client.set_callback(heard), then subscribe()."),
    Rule("AssertionError", r"", "the assert on this line did not hold: print() what it compares."),
    Rule("OSError", r"nobody types", "the tug has no keyboard: give the value a name at the top."),
)  # fmt: skip
"""The first rule that fits is the one."""
