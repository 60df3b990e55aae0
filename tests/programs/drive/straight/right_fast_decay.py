# Fast decay works too, with its own two duties.
# tune: LEFT drift 0.38 0.95
# tune: SECONDS length 1.2 8
from machine import Pin, PWM
import time

LEFT = 0.6
RIGHT = 0.6
SECONDS = 2.6

left = PWM(Pin(25), freq=1000, duty_u16=0)
right = PWM(Pin(27), freq=1000, duty_u16=0)
other = [Pin(26, Pin.OUT, value=0), Pin(14, Pin.OUT, value=0)]

begun = time.ticks_ms()
left.duty_u16(int(LEFT * 65535))
right.duty_u16(int(RIGHT * 65535))
while time.ticks_diff(time.ticks_ms(), begun) < SECONDS * 1000:
    time.sleep_ms(2)
left.deinit()
right.deinit()
