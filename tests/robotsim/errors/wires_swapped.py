from machine import I2C, Pin

bus = I2C(0, scl=Pin(21), sda=Pin(22))
bus.writeto_mem(0x68, 0x6B, b"\x00")
