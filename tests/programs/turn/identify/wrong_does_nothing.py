# criterion: It asks the sensor who it is
# mistake: the program does nothing yet
from machine import Pin, I2C
import time

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
time.sleep_ms(100)
