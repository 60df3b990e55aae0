# kind: ZeroDivisionError
# shows: divide by zero
import time
from machine import PWM, Pin

left = PWM(Pin(25), freq=1000, duty=700)
Pin(26, Pin.OUT).off()
time.sleep_ms(300)
print(1 // 0)  # here
