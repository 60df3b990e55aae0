from machine import I2C, Pin

bus = I2C(0, scl=Pin(22), sda=Pin(21))
bus.writeto_mem(0x68, 0x6B, 0)
