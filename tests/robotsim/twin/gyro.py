"""A square that looks where it is going: its corners and its sides are steered by the gyro.

What days do to a square by time is in its heading; here the program takes it out again.
"""

from __future__ import annotations

import math

from robotsim import Recording, Whose, run_trial
from robotsim.parts import Quirks

_PROGRAM = '''
import time
from machine import I2C, PWM, Pin
motors = [PWM(Pin(pin), freq=1000, duty_u16=0) for pin in (25, 26, 27, 14)]
bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
bus.writeto_mem(0x68, 0x6B, b"\\x00")
bus.writeto_mem(0x68, 0x1B, b"\\x08")
def rate():
    high, low = bus.readfrom_mem(0x68, 0x47, 2)
    counts = high << 8 | low
    return (counts - 65536 if counts > 32767 else counts) / 65.5
def effort(k, share):
    full, part = (k, k + 1) if share >= 0 else (k + 1, k)
    motors[full].duty_u16(65535)
    motors[part].duty_u16(int(65535 * (1 - min(abs(share), 1))))
time.sleep_ms(200)
rests = []
for k in range(200):
    rests.append(rate())
    time.sleep_ms(5)
bias = sum(rests) / len(rests)
heading, last = 0.0, time.ticks_us()
def look():
    global heading, last
    time.sleep_ms(3)
    now = time.ticks_us()
    heading += (rate() - bias) * time.ticks_diff(now, last) / 1000000
    last = now
try:
    for corner in range(1, 5):
        begun = time.ticks_ms()
        while time.ticks_diff(time.ticks_ms(), begun) < 1500:
            steer = 0.01 * (90 * (corner - 1) - heading)
            effort(0, 0.5 - steer)
            effort(2, 0.5 + steer)
            look()
        quiet = 0
        while quiet < 60:
            off = 90 * corner - heading
            if abs(off) < 1:
                quiet += 1
                for motor in motors:
                    motor.duty_u16(0)
            else:
                quiet = 0
                turn = max(-0.5, min(0.5, 0.01 * off)) + (0.27 if off > 0 else -0.27)
                effort(0, -turn)
                effort(2, turn)
            look()
finally:
    for motor in motors:
        motor.duty_u16(0)
'''


def square(own: Quirks, serial: int, day: int) -> Recording:
    """Let a tug, or a twin, drive it on a day of the tug with that number."""
    return run_trial(_PROGRAM, serial=serial, seed=day, seconds=25, start=(0.35, 0.2, 0.0),
                     tug=own, whose=Whose.OWN)  # fmt: skip


def off_by(twin: Quirks, serial: int, day: int) -> float:
    """Give by how many degrees the tug's heading differs from its twin's at the end."""
    ours, theirs = square(twin, 7, 1), square(Quirks.of(serial), serial, day)
    assert ours.ended == theirs.ended == "finished", (serial, ours, theirs)
    return math.degrees(theirs.end[2] - ours.end[2])
