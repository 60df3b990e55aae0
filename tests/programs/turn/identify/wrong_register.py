# criterion: It asks the sensor who it is
# mistake: identity asked of the wrong register
from machine import Pin, I2C
import time

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
bus.writeto_mem(0x68, 0x6B, bytes([0]))
time.sleep_ms(100)
print("address", hex(0x68))
print("identity", hex(bus.readfrom_mem(0x68, 0x68, 1)[0]))
high, low = bus.readfrom_mem(0x68, 0x47, 2)
raw = 256 * high + low
print("raw", raw - 65536 if raw > 32767 else raw)
