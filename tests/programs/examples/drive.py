# Ahead, a moment's rest, and back again, in both decay modes.
import time
from machine import PWM, Pin

left, left_back = PWM(Pin(25), freq=1000, duty=0), Pin(26, Pin.OUT)
right, right_back = PWM(Pin(27), freq=1000, duty=0), Pin(14, Pin.OUT)

for duty in (400, 600, 800, 0):
    left.duty(duty)
    right.duty(duty)
    time.sleep(0.4)

left_back.on()
right_back.on()
for duty in (700, 400, 1023):
    left.duty(duty)
    right.duty(duty)
    time.sleep(0.4)
left_back.off()
right_back.off()
