"""Survey: the program with which a tug measures turns on the floor by its own gyro.

Each line tells what its battery rested at, too.
"""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["USUAL", "survey_program"]

USUAL = (
    *((-0.5, 0.5, 0.42), (0.5, 0.5, 0.5)) * 4, *((0.5, -0.5, 0.42), (0.7, 0.7, 0.4)) * 4,
)  # fmt: skip
"""Round a small square to port and one to starboard, so that each turn is on another spot of the
floor and the tug stays in its pen: efforts of left and right, and s."""

_TEXT = '''# Legs on the floor, for the twin: put the tug into a pen, 0.5 m free all round it.
# It waits for the bumper, stands still for a second, drives them, and says by how much it turned.
import time
from machine import ADC, I2C, PWM, Pin
from settings import PINS

LEGS = (
{legs})
names = ("left_ahead", "left_back", "right_ahead", "right_back")
motors = [PWM(Pin(PINS[name]), freq=1000, duty_u16=0) for name in names]
bumper = Pin(PINS["bumper"], Pin.IN, Pin.PULL_UP)
bus = I2C(0, scl=Pin(PINS["scl"]), sda=Pin(PINS["sda"]), freq=400000)
bus.writeto_mem(0x68, 0x6B, b"\\x00")
bus.writeto_mem(0x68, 0x1B, b"\\x08")  # up to 500 degrees a second: 65.5 counts for one


def rate():
    high, low = bus.readfrom_mem(0x68, 0x47, 2)
    counts = high << 8 | low
    return (counts - 65536 if counts > 32767 else counts) / 65.5


def effort(k, share):
    full, part = (k, k + 1) if share >= 0 else (k + 1, k)
    motors[full].duty_u16(65535)
    motors[part].duty_u16(int(65535 * (1 - abs(share))))


def off():
    for motor in motors:
        motor.duty_u16(0)


def drive(left, right, seconds):
    """Drive from rest to rest, and give the turn in degrees."""
    turned, begun = 0.0, time.ticks_us()
    last, ran = begun, 0
    effort(0, left)
    effort(2, right)
    stop = int(seconds * 1000000)
    while ran < stop + 600000:
        time.sleep_us(max(min(2000, stop - ran), 1) if ran < stop else 2000)
        now = time.ticks_us()
        ran = time.ticks_diff(now, begun)
        if ran >= stop:
            off()
        turned += (rate() - bias) * time.ticks_diff(now, last) / 1000000
        last = now
    return turned


print("press the bumper")
while bumper.value():
    time.sleep_ms(10)
time.sleep(1)
cells = ADC(Pin(PINS["battery"]), atten=ADC.ATTN_11DB)
rests, volts = [], 0
for k in range(200):
    rests.append(rate())
    volts += cells.read_uv() / 100000000  # the pin has half of them: mean times 2
    time.sleep_ms(5)
bias = sum(rests) / len(rests)
battery = "%.3f" % volts if 3.6 <= volts <= 5.8 else "-"
log = open("survey.txt", "w")  # for who drives it without the cable
try:
    for left, right, seconds in LEGS:
        turned = drive(left, right, seconds)
        row = "run %s,%s,%s,-,-,%.1f,1,%s" % (left, right, seconds, turned, battery)
        print(row)
        log.write(row + "\\n")
finally:
    off()
    log.close()
'''


def survey_program(legs: Sequence[tuple[float, float, float]] = USUAL) -> str:
    """Give the program for some legs: efforts -1 to 1 in slow decay, and how long in s."""
    rows = "".join(f"    ({left}, {right}, {seconds}),\n" for left, right, seconds in legs)
    return _TEXT.format(legs=rows)
