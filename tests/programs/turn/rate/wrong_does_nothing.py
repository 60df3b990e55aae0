# criterion: It turns both ways and prints rates
# mistake: the program does nothing yet
from machine import Pin, I2C

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
