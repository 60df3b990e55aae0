"""Slips in `lamps.side`."""

import re

from tests.checks.slips import Slip, drop, put, swap

LIT, PORT, STARBOARD = (
    "The lamps are lit", "The port bow shows red", "The starboard bow shows green"
)
MAST, STERN, DECK = "The mast shows white", "The stern shows white", "The deck shows amber"


def flip_the_order(program):
    return re.sub(r"^RED_FIRST = (\d)", lambda m: f"RED_FIRST = {1 - int(m[1])}", program, flags=re.M)


def count_from_one(program):
    if "np[4] = (" not in program:
        return program
    program = re.sub(r"np\[(\d)\] =", lambda m: f"np[{int(m[1]) + 1}] =", program)
    return program.replace("(13), 5)", "(13), 6)")


def then_dark(program):
    found = re.search(r"^(\w+) = (?:neopixel\.)?NeoPixel", program, re.M)
    if not found or "while True" in program:
        return program
    name = found[1]
    return program + f"\nimport time\ntime.sleep(1)\n{name}.fill((0, 0, 0))\n{name}.write()\n"


def deck(to):
    """Give the deck another share of green, in tenths of red."""
    return (
        put(r"\(100, 40, 0\)", f"(100, {10 * to}, 0)"),
        put(r"deck=\(80, 30, 0\)", f"deck=(80, {8 * to}, 0)"),
        put(r"level // 2, 0", f"level * {to} // 10, 0"),
        put(r"\(90, 45, 0\)", f"(90, {9 * to}, 0)"),
        put(r"\(150, 60, 0\)", f"(150, {15 * to}, 0)"),
        put(r"= 0x64, 0x30", f"= 0x64, {10 * to}"),
        put(r'"643200"', f'"64{10 * to:02x}00"'),
        put(r"\(110, 42, 4\)", f"(110, {11 * to}, 4)"),
    )


def mast(to):
    """Give the mast another colour."""
    return (
        put(r"np\[2\] = \(100, 100, 100\)", f"np[2] = {to}"),
        put(r"mast=\(60, 60, 60\)", f"mast={to}"),
        put("2: λευκό", f"2: {to}"),
        put(r"0\)\), \(99, 99, 99\)|0, 150, 20\), \(99, 99, 99\)", f"0, 150, 20), {to}"),
        put(r'"505050", "505050"', f'"{bytes(to).hex()}", "505050"'),
        put(r"light\(2, white\)", f"light(2, {to})"),
    )


SLIPS = (
    # What is only noted leaves no trace: nobody can tell it from a program that does nothing yet.
    Slip("leaves write() out", "write() forgotten", (LIT,), drop(r"\.write\(\)")),
    Slip("leaves the brackets of write() out", "write() forgotten", (LIT,),
         put(r"\.write\(\)", ".write")),
    Slip(
        "speaks to pin 12", "wrong pin for the lamps", (LIT,),
        put(r"\b(Pin|P)\(13", r"\1(12"), put(r"Lights\(13\)", "Lights(12)"),
    ),
    Slip(
        "speaks at half speed", "lamps spoken to at half speed", (PORT,),
        put(r"(NeoPixel\(.*), 5\)", r"\1, 5, timing=0)"),
        put(r"len\(self\.NAMES\)\)", "len(self.NAMES), timing=0)"),
    ),
    Slip(
        "exchanges port and starboard", "port and starboard swapped", (PORT, STARBOARD),
        swap("np[0] = ", "np[1] = "), swap("port=", "starboard="), swap("yield 0,", "yield 1,"),
        swap("0: κόκκινο", "0: πράσινο"), put("0: κόκκινο, 1: πράσινο", "0: πράσινο, 1: κόκκινο"),
        swap("(150, 10, 0)", "(0, 150, 20)"), swap('"640000"', '"006400"'),
        swap("light(0", "light(1"),
    ),
    Slip(
        "tells the driver the other order", "colour order swapped", (PORT, STARBOARD, DECK),
        flip_the_order,
    ),
    Slip("makes the mast blue", "another colour than the one asked", (MAST,), *mast((0, 0, 90))),
    Slip("makes the mast pale red", "white out of balance", (MAST,), *mast((150, 50, 50))),
    Slip("makes the mast salmon", "white out of balance", (MAST,), *mast((150, 70, 50))),
    Slip("leaves the mast's blue out", "white out of balance", (MAST,), *mast((90, 90, 0))),
    Slip("makes the mast dim", "too dim or too bright", ("Neither dim nor dazzling",),
         *mast((20, 20, 20))),
    Slip("makes the mast dazzle", "too dim or too bright", ("Neither dim nor dazzling",),
         *mast((255, 255, 255))),
    Slip("gives the deck a fifth of green", "the deck is not the amber asked", (DECK,), *deck(2)),
    Slip("gives the deck seven tenths", "the deck is not the amber asked", (DECK,), *deck(7)),
    Slip("makes the deck yellow", "the deck is not the amber asked", (DECK,), *deck(10)),
    Slip(
        "leaves the deck out", "a lamp left out, or set after the last write()", (DECK,),
        put(r"^np\[4\] = .*\n", ""), put(r", deck=\(80, 30, 0\)", ""),
        put(r"^    yield -1, .*\n", ""), put(", 4: κεχριμπάρι", ""), put(r"150, 60, 0", "0, 0, 0"),
        put(r"^wire\[12 \+ R.*\n", ""), put(r', "643200"', ""),
        put(r"light\(4, .*\),", ""),
    ),
    Slip(
        "sets the deck after write()", "a lamp left out, or set after the last write()", (DECK,),
        put(r"^(np\[4\] = .*\n)(np\.write\(\)\n)", r"\2\1"),
        put(r"^(wire\[12 \+ R.*\n)(np\.write\(\)\n)", r"\2\1"),
    ),
    Slip(
        "asks for 256 of red", "a lamp left out, or set after the last write()", (PORT,),
        put(r"np\[0\] = \(100", "np[0] = (256"), put(r"port=\(80", "port=(256"),
        put(r"yield 0, \(level", "yield 0, (256"),
    ),
    Slip("counts from 1", "lamps counted from 1", (PORT,), count_from_one),
    Slip("puts the lamps out after a second", "lamps put out too early", (MAST,), then_dark),
    Slip(
        "sleeps for a second first", "lit too late", (PORT, MAST),
        put(r"^(np|σειρά|lights|chain) = ", r"import time\ntime.sleep(1)\n\1 = "),
    ),
)  # fmt: skip
