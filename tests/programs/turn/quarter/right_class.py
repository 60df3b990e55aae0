# Classes; the time step is taken in the middle of two readings (trapezium), range 500 deg/s.
import struct
import time
from machine import I2C, PWM, Pin


class Compass:
    """Adds up the rate of turn."""

    def __init__(self):
        self.bus = I2C(0, scl=Pin(22), sda=Pin(21))
        self.bus.writeto_mem(0x68, 0x6B, b"\x00")
        self.bus.writeto_mem(0x68, 0x1B, b"\x08")
        time.sleep_ms(80)
        self.zero = 0.0
        self.zero = sum([self.rate() for _ in range(200) if time.sleep_ms(3) is None]) / 200
        self.restart()

    def rate(self):
        return struct.unpack(">h", self.bus.readfrom_mem(0x68, 0x47, 2))[0] / 65.5 - self.zero

    def restart(self):
        self.angle, self.last, self.at = 0.0, self.rate(), time.ticks_us()

    def update(self):
        rate, now = self.rate(), time.ticks_us()
        self.angle += (rate + self.last) / 2 * time.ticks_diff(now, self.at) * 1e-6
        self.last, self.at = rate, now
        return self.angle


class Tug:
    def __init__(self):
        self.pwm = [PWM(Pin(n), freq=1000, duty_u16=65535) for n in (25, 26, 27, 14)]

    def spin(self, effort):
        la, lb, ra, rb = self.pwm
        part = int(65535 * abs(effort))
        for pwm in self.pwm:
            pwm.duty_u16(65535)
        for pwm in (la, rb) if effort > 0 else (lb, ra):
            pwm.duty_u16(65535 - part)

    def off(self):
        for pwm in self.pwm:
            pwm.duty_u16(0)


compass, tug = Compass(), Tug()
for goal in (90.0, -90.0):
    compass.restart()
    while abs(goal - compass.angle) > 2.0:
        rest = goal - compass.angle
        tug.spin((0.28 + min(abs(rest) / 300, 0.25)) * (1 if rest > 0 else -1))
        for _ in range(3):
            time.sleep_ms(2)
            compass.update()
    tug.spin(0)
    for _ in range(150):
        time.sleep_ms(2)
        compass.update()
    print("turned %.1f" % compass.angle)
    time.sleep(0.4)
tug.off()
