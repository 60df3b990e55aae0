# criterion: It prints one raw rate, with its sign
# mistake: bytes swapped
from machine import Pin, I2C
import time

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
print("address", hex(0x68))
print("identity", hex(bus.readfrom_mem(0x68, 0x75, 1)[0]))
bus.writeto_mem(0x68, 0x6B, bytes([0]))
time.sleep_ms(100)
low, high = bus.readfrom_mem(0x68, 0x47, 2)
raw = 256 * high + low
if raw >= 32768:
    raw -= 65536
print("raw", raw)
