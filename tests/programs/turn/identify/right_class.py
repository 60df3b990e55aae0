# A class with a register number for each thing; struct takes care of the sign.
import struct
import time
from machine import I2C, Pin


class Gyro:
    WHO, POWER, RATE_Z = 0x75, 0x6B, 0x47

    def __init__(self, bus, address):
        self.bus, self.address = bus, address

    def byte(self, register):
        return self.bus.readfrom_mem(self.address, register, 1)[0]

    def wake(self):
        old = self.byte(self.POWER)
        self.bus.writeto_mem(self.address, self.POWER, bytes([old & ~0x40 & 0xFF]))
        time.sleep_ms(100)

    @property
    def raw(self):
        return struct.unpack(">h", self.bus.readfrom_mem(self.address, self.RATE_Z, 2))[0]


bus = I2C(0, scl=Pin(22), sda=Pin(21))
gyro = Gyro(bus, bus.scan()[0])
gyro.wake()
print("address: 0x%02X" % gyro.address)
print("identity: 0x%02X" % gyro.byte(Gyro.WHO))
print("raw: %d" % gyro.raw)
