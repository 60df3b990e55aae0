"""Survey: the program with which a tug measures a run on the floor by its own gyro."""

from __future__ import annotations

__all__ = ["survey_program"]

_TEXT = '''# One run on the floor, for the twin: put the tug on its mark, in a pen, fingers away.
# It waits for the bumper, stands still for a second, runs, and says by how much it turned.
import time
from machine import I2C, PWM, Pin
from settings import PINS

LEFT, RIGHT, SECONDS = {left}, {right}, {seconds}
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


print("press the bumper")
while bumper.value():
    time.sleep_ms(10)
time.sleep(1)
rests = []
for k in range(200):
    rests.append(rate())
    time.sleep_ms(5)
bias = sum(rests) / len(rests)
turned, begun = 0.0, time.ticks_us()
last, ran = begun, 0
try:
    effort(0, LEFT)
    effort(2, RIGHT)
    while ran < (SECONDS + 0.6) * 1000000:
        time.sleep_ms(2)
        now = time.ticks_us()
        turned += (rate() - bias) * time.ticks_diff(now, last) / 1000000
        last, ran = now, time.ticks_diff(now, begun)
        if ran >= SECONDS * 1000000:
            for motor in motors:
                motor.duty_u16(0)
finally:
    for motor in motors:
        motor.duty_u16(0)
print("turned %.1f degrees to port" % turned)
'''


def survey_program(left: float, right: float, seconds: float) -> str:
    """Give the program for a run: efforts -1 to 1 in slow decay, and how long in s."""
    return _TEXT.format(left=left, right=right, seconds=seconds)
