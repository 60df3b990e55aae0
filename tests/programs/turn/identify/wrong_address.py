# criterion: It asks the sensor who it is
# mistake: nobody at that address
from machine import Pin, I2C
import time

SENSOR = 0x69

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
print("address", hex(SENSOR))
print("identity", hex(bus.readfrom_mem(SENSOR, 0x75, 1)[0]))
bus.writeto_mem(SENSOR, 0x6B, bytes([0]))
time.sleep_ms(100)
high, low = bus.readfrom_mem(SENSOR, 0x47, 2)
print("raw", 256 * high + low)
