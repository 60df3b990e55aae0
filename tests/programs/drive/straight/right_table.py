# A table of moves, with a gentle start and a gentle stop.
# tune: TRIM drift -12 12
# tune: LONG length 1000 8000
from machine import Pin, PWM
from time import sleep_ms

TRIM = 0.0
LONG = 3500

MOVES = (
    (20, 60),
    (30, 60),
    (40, 60),
    (50, LONG),
    (40, 60),
    (30, 60),
)
PINS = (25, 26, 27, 14)
la, lb, ra, rb = [PWM(Pin(pin), freq=800, duty=1023) for pin in PINS]
for percent, ms in MOVES:
    part = percent / 50
    lb.duty(round(10.23 * (100 - percent - part * TRIM)))
    rb.duty(round(10.23 * (100 - percent + part * TRIM)))
    sleep_ms(int(ms))
for pwm in (lb, rb, la, ra):
    pwm.duty(1023)
sleep_ms(200)
for pwm in (la, lb, ra, rb):
    pwm.deinit()
