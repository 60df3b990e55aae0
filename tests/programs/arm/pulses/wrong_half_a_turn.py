# criterion: 45 degrees to starboard
# criterion: 30 degrees to port
# mistake: wrong pulse for a degree
from machine import Pin, PWM
import time


# 1.0 to 2.0 ms taken for half a turn
arm = PWM(Pin(18), freq=50, duty_u16=0)
for put, full, angle in ((arm.duty_ns, 20000000, -45), (arm.duty_u16, 65535, 0), (arm.duty, 1023, 30)):
    put(round((1.5 + angle / 180) / 20 * full))
    time.sleep(1)
