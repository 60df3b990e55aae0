# criterion: It prints one raw rate, with its sign
# mistake: a number that did not come from the sensor
from machine import Pin, I2C
import struct
import time

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
print("address", hex(0x68))
print("identity", hex(bus.readfrom_mem(0x68, 0x75, 1)[0]))
bus.writeto_mem(0x68, 0x6B, bytes([0]))
time.sleep_ms(100)
print("raw", struct.unpack(">h", bus.readfrom_mem(0x68, 0x47, 2))[0] / 131)
