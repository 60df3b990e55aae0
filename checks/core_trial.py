"""Core trial: what `compile` runs with and without the compiled core, to compare the two.

It prints which of them ran, the SHA-256 over all that was recorded, and the least processor time
that one of the trials took, in s.
"""

from __future__ import annotations

import hashlib
import time

from robotsim import Whose, core, run_trial

__all__ = ["PROGRAM"]

PROGRAM = """\
from machine import ADC, I2C, PWM, Pin
import time

eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
arm = PWM(Pin(18), freq=50, duty_u16=4915)
left, right = (PWM(Pin(n), freq=1000, duty_u16=0) for n in (26, 14))
Pin(25, Pin.OUT).on()
Pin(27, Pin.OUT).on()
bus = I2C(0, scl=Pin(22), sda=Pin(21))
bus.writeto_mem(0x68, 0x6B, b"\\0")
while True:
    a, b, c, d = [eye.read_u16() for eye in eyes]
    off = ((a - d) * 3 + b - c) // 12
    left.duty_u16(max(0, min(65535, 36000 + off)))
    right.duty_u16(max(0, min(65535, 36000 - off)))
    if time.ticks_ms() % 100 < 20:
        print(off, bus.readfrom_mem(0x68, 0x47, 2))
        arm.duty_u16(3600 if off > 0 else 6200)
    time.sleep_ms(20)
"""
"""It uses eyes, motors, arm and motion sensor, and runs into the wall where it loses the line."""


def _main() -> None:
    mark, spent = hashlib.sha256(), []
    for table, serial in (("quay", 0), ("quay", 12), ("harbour", 7), ("quay", 12), ("quay", 12)):
        began = time.process_time()
        made = run_trial(
            PROGRAM, table=table, serial=serial, seed=serial, seconds=20, whose=Whose.KIT
        )
        spent.append(time.process_time() - began)
        mark.update(made.to_bytes())
    print(core.state.value, mark.hexdigest(), min(spent[1::2]))


if __name__ == "__main__":
    _main()
