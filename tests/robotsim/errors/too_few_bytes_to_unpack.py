import struct
from machine import I2C, Pin

bus = I2C(0, scl=Pin(22), sda=Pin(21))
bus.writeto_mem(0x68, 0x6B, b"\x00")
rate = struct.unpack(">h", bus.readfrom_mem(0x68, 0x47, 1))[0]
