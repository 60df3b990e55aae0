# First the register's number is written, then bytes are read; the range is set as well.
from machine import SoftI2C, Pin
from time import sleep

i2c = SoftI2C(Pin(22), Pin(21), freq=100000)


def ask(register, count):
    i2c.writeto(0x68, bytes([register]))
    return i2c.readfrom(0x68, count)


def tell(register, value):
    i2c.writeto(0x68, bytes([register, value]))


tell(0x6B, 0x80)
sleep(0.1)
tell(0x6B, 0x01)
tell(0x1B, 0x08)
sleep(0.1)
print("address", 0x68)
print("identity", ask(0x75, 1)[0])
everything = ask(0x3B, 14)
value = everything[12] << 8 | everything[13]
print("raw", value - ((value & 0x8000) << 1))
