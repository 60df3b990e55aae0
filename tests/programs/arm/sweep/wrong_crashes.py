# criterion: the arm goes to both sides
# mistake: the program stopped with an error
from machine import Pin, PWM
import time


arm = PWM(Pin(18), freq=50, duty_u16=0)
for angle in range(-45, 46):
    arm.duty_ns(1000 * (1500 + angle * 1000 / 90))
    time.sleep_ms(22)
