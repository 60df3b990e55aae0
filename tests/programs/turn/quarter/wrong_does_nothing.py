# criterion: It turns, and reads the sensor
# mistake: the program does nothing yet
from machine import Pin, I2C

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
