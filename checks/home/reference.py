"""Reference: the tug, and the calls of its board, on two pages that print.

Pins, parts, figures, calls and what is said of them come from the tables that the simulator itself
runs on; only the examples are written here, and a test runs each of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from robotsim import LAMPS, PINS
from robotsim.catalogue import find
from robotsim.parts import PARTS, battery, motion, motor, reflectance, servo, wheels
from robotsim.parts.bumper import BOUNCE_S

from .layout import document

__all__ = ["EXAMPLES", "SETTING_UP", "board_page", "figures", "tug_page"]

SETTING_UP = """\
import asyncio, json, machine, network, neopixel, random, time
from machine import ADC, I2C, PWM, Pin, Timer
from neopixel import NeoPixel
from umqtt.simple import MQTTClient
np = NeoPixel(Pin(13), 5)
left = PWM(Pin(25), freq=1000, duty_u16=0)
arm = PWM(Pin(18), freq=50)
eye = ADC(Pin(36), atten=ADC.ATTN_11DB)
i2c = I2C(0, scl=Pin(22), sda=Pin(21))
bumper = Pin(19, Pin.IN, Pin.PULL_UP)
begun = time.ticks_ms()
timer = Timer(0)
"""
"""What the examples take for granted."""

EXAMPLES: dict[str, dict[str, str]] = {
    "Time": {
        "time.sleep": "time.sleep(0.5)",
        "time.sleep_ms": "time.sleep_ms(20)",
        "time.ticks_ms": "begun = time.ticks_ms()",
        "time.ticks_us": "begun_us = time.ticks_us()",
        "time.ticks_diff": "passed = time.ticks_diff(time.ticks_ms(), begun)",
        "time.ticks_add": "until = time.ticks_add(time.ticks_ms(), 500)",
    },
    "Lamps": {
        "neopixel.NeoPixel": "np = NeoPixel(Pin(13), 5)",
        "neopixel.NeoPixel.write": "np[0] = (80, 0, 0); np.write()",
    },
    "Pins and motors": {
        "machine.Pin": "bumper = Pin(19, Pin.IN, Pin.PULL_UP)",
        "machine.Pin.value": "pressed = bumper.value() == 0",
        "machine.Pin.irq": "bumper.irq(print, Pin.IRQ_FALLING)",
        "machine.PWM": "left = PWM(Pin(25), freq=1000, duty_u16=0)",
        "machine.PWM.duty_u16": "left.duty_u16(30000)",
        "machine.PWM.duty_ns": "arm.duty_ns(1_500_000)",
        "machine.PWM.freq": "left.freq(2000)",
        "machine.PWM.deinit": "left.deinit()",
    },
    "Sensors": {
        "machine.ADC": "eye = ADC(Pin(36), atten=ADC.ATTN_11DB)",
        "machine.ADC.read": "counts = eye.read()",
        "machine.ADC.read_u16": "share = eye.read_u16() / 65535",
        "machine.ADC.read_uv": "volts = eye.read_uv() / 1_000_000",
        "machine.I2C": "i2c = I2C(0, scl=Pin(22), sda=Pin(21))",
        "machine.I2C.scan": "print(i2c.scan())",
        "machine.I2C.readfrom_mem": "data = i2c.readfrom_mem(0x68, 0x75, 1)",
        "machine.I2C.writeto_mem": "i2c.writeto_mem(0x68, 0x6B, b'\\x00')",
    },
    "Several things at once": {
        "machine.Timer": "timer = Timer(0)",
        "machine.Timer.init": "timer.init(period=100, callback=print)",
        "machine.Timer.deinit": "timer.deinit()",
        "asyncio.sleep_ms": "await asyncio.sleep_ms(10)",
        "machine.unique_id": "number = machine.unique_id()",
        "machine.reset_cause": "why = machine.reset_cause()",
        "random.randint": "dice = random.randint(1, 6)",
    },
    "Radio": {
        "network.WLAN": "wlan = network.WLAN(); wlan.active(True)",
        "network.WLAN.connect": "wlan.connect('harbour', 'lighthouse')",
        "network.WLAN.isconnected": "joined = wlan.isconnected()",
        "umqtt.simple.MQTTClient": "client = MQTTClient('tug-7', 'office')",
        "umqtt.simple.MQTTClient.set_callback": "client.set_callback(print)",
        "umqtt.simple.MQTTClient.connect": "client.connect()",
        "umqtt.simple.MQTTClient.subscribe": "client.subscribe(b'harbour/tug-7/order', qos=1)",
        "umqtt.simple.MQTTClient.check_msg": "client.check_msg()",
        "umqtt.simple.MQTTClient.publish": "client.publish(b'harbour/tug-7/log', b'done')",
    },
}
"""Group, full name of the call, one line with it."""

_WHAT = {
    "lamps": "data of the lamps' chain", "arm": "pulses of the arm's servo",
    "bumper": "push switch at the bow, to ground: pressed is 0", "sda": "I2C data: motion sensor",
    "scl": "I2C clock: motion sensor", "battery": "half the battery's voltage (ADC)",
    "left_ahead": "left motor's driver, input ahead",
    "left_back": "left motor's driver, input back",
    "right_ahead": "right motor's driver, input ahead",
    "right_back": "right motor's driver, input back",
    "eye_0": "line eye 0, at port (ADC)", "eye_1": "line eye 1 (ADC)",
    "eye_2": "line eye 2 (ADC)", "eye_3": "line eye 3, at starboard (ADC)",
}  # fmt: skip


_UNSAID = {
    "neopixel.NeoPixel.write": "Send the colours to the lamps",
    "network.WLAN.connect": "Begin to join a network; isconnected() tells when it is done",
    "network.WLAN.isconnected": "Tell whether the board is in a network",
}
"""Words for the calls of which the board itself says nothing."""


def figures() -> list[tuple[str, str]]:
    """Give the tug's figures as its models have them."""
    spacing = _mm(reflectance.SIDEWAYS["eye_0"] - reflectance.SIDEWAYS["eye_1"])
    volts = battery.Battery().emf
    return [
        ("hull", f"round, {_mm(2 * wheels.HULL_RADIUS)} across; {wheels.MASS:g} kg with cells"),
        ("wheels", f"{_mm(2 * wheels.WHEEL_RADIUS)} across, {_mm(wheels.TRACK)} apart"),
        ("motors", f"geared {motor.TUG_MOTOR.gear:g} to 1; {motor.TUG_MOTOR.resistance:g} ohm"),
        ("cells", f"four, {volts:.1f} V together; below {battery.BROWN_OUT_VOLTS:g} V the board"
                  " starts anew"),
        ("arm", f"1000 to 2000 µs is -45 to +45 degrees, 1500 µs ahead; stops at"
                f" {servo.STOPS_US[0]:.0f} and {servo.STOPS_US[1]:.0f} µs"),
        ("line eyes", f"four, {spacing} apart, {_mm(reflectance.AHEAD)} ahead of the axle,"
                      f" {reflectance.HEIGHT_MM:g} mm above the floor"),
        ("motion sensor", f"I2C address 0x{motion.ADDRESS:02X}"),
        ("bumper", f"bounces for about {500 * sum(BOUNCE_S):.0f} ms"),
        ("lamps in the chain", ", ".join(f"{k} {name}" for k, name in enumerate(LAMPS))),
        ("parts", ", ".join(PARTS)),
    ]  # fmt: skip


def _mm(metres: float) -> str:
    return f"{1000 * metres:.0f} mm"


def tug_page(home: str = "") -> str:
    """Give the page of the tug: its pins, its parts and their figures."""
    pins = [(str(PINS[role]), role, _WHAT[role]) for role in sorted(PINS, key=lambda r: PINS[r])]
    body = (
        "<h1>The tug</h1><p>x goes to the right, y up, a heading of 0 along x; to port (left)"
        " counts as more. Every tug differs a little from these figures: its number says how.</p>"
        f"<h2>Pins</h2>{_table(('pin', 'name', 'what hangs on it'), pins)}"
        f"<h2>Figures</h2>{_table(('part', 'figure'), figures())}"
        "<p>A motor's driver has two inputs: one driven, one at 0 is ahead or back; both at 0 lets"
        " the wheel roll; both at 1 brakes.</p><h2>Before you touch a real one</h2><ul>"
        "<li>Wheels off the table the first time; fingers out of wheels and arm.</li>"
        "<li>Motor power off while a board is flashed.</li>"
        "<li>Cells: in a charger made for them, never unattended.</li>"
        "<li>No more than three flashes in any second: flashing light can trigger seizures.</li>"
        "<li>Local rules come before this page.</li></ul>"
    )
    return document("The tug", body, home=home, small=True)


def board_page(home: str = "") -> str:
    """Give the page of the board's calls, one example each."""
    rows: list[tuple[str, ...]] = []
    for title, calls in EXAMPLES.items():
        rows += [(title,), *((_call(name), _words(name), code) for name, code in calls.items())]
    body = "<h1>The board's calls</h1>" + _table(("call", "what it does", "example"), rows)
    return document("The board's calls", body, home=home, small=True)


def _call(name: str) -> str:
    """Give a call by its class, with the names of its arguments: `PWM.freq(value)`."""
    entry = find(name)
    assert entry is not None, name
    owner = name.split(".")[1:-1]
    plain, _, inside = entry.call.rstrip(")").partition("(")
    words = [part.partition("=")[0].strip() for part in inside.split(",")]
    call = f"{plain}({', '.join(word for word in words if word != '*')})"
    head = ".".join(part for part in owner if part[:1].isupper()) or name.split(".")[0]
    return call if plain[0].isupper() else f"{head}.{call}"


def _words(name: str) -> str:
    entry = find(name)
    words = entry.words.split("\n")[0] if entry else ""
    return (words or _UNSAID[name]).split(": `")[0].rstrip(".")


def _table(heads: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    """Give a table; a row of one cell is the title of those below it."""
    head = "".join(f"<th scope='col'>{one}</th>" for one in heads)
    body = "".join(f"<tr>{_cells(heads, row)}</tr>" for row in rows)
    kind = f"wide-{len(heads)}"
    return f"<table class='{kind}'><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


def _cells(heads: tuple[str, ...], row: tuple[str, ...]) -> str:
    if len(row) == 1:
        return f"<th colspan='{len(heads)}' scope='colgroup'>{escape(row[0])}</th>"
    texts = (
        f"<code>{escape(cell)}</code>" if what in ("call", "example", "name") else escape(cell)
        for what, cell in zip(heads, row, strict=True)
    )
    return "".join(f"<td>{text}</td>" for text in texts)
