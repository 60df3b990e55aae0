# A generator of orders; each is sent again and again, as long as it holds.
import time
from machine import Pin, PWM


def orders():
    yield lambda p: p.duty_ns(int(1.0e6))
    yield lambda p: p.duty_u16(int(65536 * 1.5 / 20))
    yield lambda p: p.duty(int(1024 * (1.5 + 30 / 90) / 20 + 0.5))


pwm = PWM(Pin(18), freq=50, duty_ns=0)
for order in orders():
    until = time.ticks_add(time.ticks_ms(), 900)
    while time.ticks_diff(until, time.ticks_ms()) > 0:
        order(pwm)
        time.sleep_ms(20)
