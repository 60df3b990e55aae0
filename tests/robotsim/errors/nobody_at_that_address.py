from machine import I2C, Pin

bus = I2C(0, scl=Pin(22), sda=Pin(21))
print(bus.readfrom_mem(0x69, 0x75, 1))
