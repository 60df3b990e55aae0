# Reads right after waking.
# criterion: It wakes the sensor first
# mistake: read before it had settled
from machine import Pin, I2C
import time

SENSOR = 0x68

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)

# Ask who it is, wake it, read one rate; print three lines.

identity = bus.readfrom_mem(SENSOR, 0x75, 1)[0]
bus.writeto_mem(SENSOR, 0x6B, bytes([0]))
high, low = bus.readfrom_mem(SENSOR, 0x47, 2)
raw = 256 * high + low
if raw >= 32768:
    raw = raw - 65536
print("address", hex(SENSOR))
print("identity", hex(identity))
print("raw", raw)
