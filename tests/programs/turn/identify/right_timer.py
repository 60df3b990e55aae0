# A timer's callback takes the reading half a second after waking.
from machine import I2C, Pin, Timer

bus = I2C(1, scl=Pin(22), sda=Pin(21), freq=200000)
buffer = bytearray(2)
one = bytearray(1)


def read(_):
    bus.readfrom_mem_into(0x68, 0x47, buffer)
    number = (buffer[0] ^ 0x80) * 256 + buffer[1] - 32768
    print("raw", number)


for place in bus.scan():
    bus.readfrom_mem_into(place, 0x75, one)
    if one[0] == 0x68:
        print("address", hex(place))
        print("identity", hex(one[0]))
        bus.writeto_mem(place, 0x6B, b"\x00")
        Timer(1).init(mode=Timer.ONE_SHOT, period=500, callback=read)
