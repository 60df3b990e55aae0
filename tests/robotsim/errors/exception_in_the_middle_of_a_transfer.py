from machine import I2C, Pin

bus = I2C(0, scl=Pin(22), sda=Pin(21))


def registers(first, last):
    for register in range(first, last + 1):
        yield register, bus.readfrom_mem(0x68, register, 1)[0]


bus.writevto(0x68, [b"\x6b", "\x00", None])
print(dict(registers(0x6B, 0x75)))
