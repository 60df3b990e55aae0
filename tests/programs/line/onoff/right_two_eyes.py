# Only the two inner eyes, a guessed threshold between what any eye can read, straight on between.
import time
from machine import ADC, PWM, Pin

port, starboard = ADC(Pin(39), atten=ADC.ATTN_11DB), ADC(Pin(34), atten=ADC.ATTN_11DB)
wheels = {side: (PWM(Pin(a), freq=1000, duty=0), PWM(Pin(b), freq=1000, duty=0)) for side, a, b in (("L", 25, 26), ("R", 27, 14))}
HALF = 2250
FAST, SLOW, EVEN = 360, 800, 480


def go(left, right):
    for side, brake in (("L", left), ("R", right)):
        wheels[side][0].duty(1023)
        wheels[side][1].duty(brake)


end = time.ticks_add(time.ticks_ms(), 29000)
while time.ticks_diff(end, time.ticks_ms()) > 0:
    p, s = port.read() > HALF, starboard.read() > HALF
    if p and s:
        go(EVEN, EVEN)
    elif p:
        go(SLOW, FAST)
    elif s:
        go(FAST, SLOW)
    time.sleep_ms(15)
for pair in wheels.values():
    for pwm in pair:
        pwm.duty(0)
