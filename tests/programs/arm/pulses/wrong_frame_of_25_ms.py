# criterion: 45 degrees to starboard
# criterion: straight ahead
# criterion: 30 degrees to port
# mistake: pulse worked out for another frame
from machine import Pin, PWM
import time


FRAME = 25
arm = PWM(Pin(18), freq=50, duty_u16=0)
for angle in (-45, 0, 30):
    ms = 1.5 + angle / 90
    arm.duty_u16(int(ms / FRAME * 65535))
    time.sleep(1)
