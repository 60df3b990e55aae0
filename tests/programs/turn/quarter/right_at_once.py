# Turns a seventh of a second after power-up.
from machine import Pin, PWM, I2C
import time

SENSOR = 0x68


import struct
class Gyro:
    def __init__(self):
        self.bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
        self.bus.writeto_mem(SENSOR, 0x6B, b"\x00")
        time.sleep(0.1)
        self.bias = 0
        self.bias = sum(self.read() or time.sleep_ms(4) or 0 for _ in range(200)) / 200
        self.heading = 0.0
        self.t = time.ticks_us()
    def read(self):
        return struct.unpack(">h", self.bus.readfrom_mem(SENSOR, 0x47, 2))[0] / 131 - self.bias
    def update(self):
        t = time.ticks_us()
        self.heading += self.read() * time.ticks_diff(t, self.t) * 1e-6
        self.t = t
        return self.heading
class Motor:
    def __init__(self, a, b):
        self.a = PWM(Pin(a), freq=1000, duty_u16=0)
        self.b = PWM(Pin(b), freq=1000, duty_u16=0)
    def set(self, e):
        self.a.duty_u16(int(65535 * min(1, 1 + e)))
        self.b.duty_u16(int(65535 * min(1, 1 - e)))
    def off(self):
        self.a.duty_u16(0); self.b.duty_u16(0)
L, R = Motor(25, 26), Motor(27, 14)
g = Gyro()
start = 0
for goal in (90, 0):
    begin = g.heading
    side = 1 if goal > begin else -1
    while (left := (goal - g.update()) * side) > 1.2:
        e = side * (0.4 if left > 25 else 0.28)
        L.set(-e); R.set(e)
        time.sleep_ms(2)
    L.set(0); R.set(0)
    end = time.ticks_add(time.ticks_ms(), 600)
    while time.ticks_diff(end, time.ticks_ms()) > 0:
        g.update()
        time.sleep_ms(2)
    print("turned", round(g.heading - begin, 2))
L.off(); R.off()
