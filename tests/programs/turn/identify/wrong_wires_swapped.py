# criterion: It asks the sensor who it is
# mistake: nobody at that address
from machine import Pin, I2C
import time

bus = I2C(0, scl=Pin(21), sda=Pin(22), freq=400000)
print("address", hex(0x68))
print("identity", hex(bus.readfrom_mem(0x68, 0x75, 1)[0]))
bus.writeto_mem(0x68, 0x6B, bytes([0]))
time.sleep_ms(100)
high, low = bus.readfrom_mem(0x68, 0x47, 2)
print("raw", 256 * high + low)
