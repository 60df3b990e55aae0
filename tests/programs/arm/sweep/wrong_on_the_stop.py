# criterion: it holds to starboard
# mistake: pressed on its stop
from machine import Pin, PWM
import time

# 0.5 to 2.5 ms, as another servo may have it
arm = PWM(Pin(18), freq=50, duty_u16=0)
for us in range(500, 2500, 20):
    arm.duty_ns(us * 1000)
    time.sleep_ms(20)
time.sleep(1)
arm.duty_ns(1500000)
