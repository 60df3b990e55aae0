# criterion: 45 degrees to starboard
# criterion: straight ahead
# criterion: 30 degrees to port
# mistake: pulse worked out for another frame
from machine import Pin, PWM
import time


def share(ms):
    return ms / 10


arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(int(share(1.0) * 20000000))
time.sleep(1)
arm.duty_u16(int(share(1.5) * 65535))
time.sleep(1)
arm.duty(round(share(1.833) * 1023))
time.sleep(1)
