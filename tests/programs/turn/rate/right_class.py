# Classes; all 14 bytes at once, the range of 500 deg/s, the narrow filter, a fast turn.
import struct
import time
from machine import I2C, PWM, Pin


class Sensor:
    def __init__(self):
        self.bus = I2C(0, scl=Pin(22), sda=Pin(21))
        self.zero = 0.0
        for register, value in ((0x6B, 1), (0x1A, 3), (0x1B, 0x08)):
            self.bus.writeto_mem(0x68, register, bytes((value,)))
        time.sleep_ms(120)

    def read(self):
        values = struct.unpack(">7h", self.bus.readfrom_mem(0x68, 0x3B, 14))
        return values[-1] / 65.5 - self.zero

    def settle(self, count):
        total = 0.0
        for _ in range(count):
            time.sleep_ms(4)
            total += self.read()
        self.zero = total / count


class Tug:
    def __init__(self):
        self.pwm = [PWM(Pin(n), freq=2000, duty_u16=65535) for n in (25, 26, 27, 14)]

    def spin(self, percent):
        rest = 65535 * (100 - abs(percent)) // 100
        la, lb, ra, rb = self.pwm
        for slow in ((lb, ra) if percent > 0 else (la, rb)):
            slow.duty_u16(65535)
        for quick in ((la, rb) if percent > 0 else (lb, ra)):
            quick.duty_u16(rest)

    def off(self):
        for pwm in self.pwm:
            pwm.deinit()


sensor, tug = Sensor(), Tug()
sensor.settle(150)
for percent in (50, 0, -50, 0):
    tug.spin(percent)
    for _ in range(8):
        time.sleep_ms(120)
        print("rate: %.2f" % sensor.read())
tug.off()
