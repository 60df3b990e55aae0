# tune: OFF trim_deg -6 6
# A class that asks the clock where the arm should be by now.
# The trim is kept in degrees.
from machine import Pin, PWM
import time

OFF = 0.0


class Arm:
    def __init__(self):
        self.pwm = PWM(Pin(18), freq=50, duty_u16=0)
        self.angle = 0.0

    def look(self, angle):
        self.angle = angle
        self.pwm.duty_u16(round((1500 + (angle + OFF) * 11.111) / 20000 * 65536))

    def sweep(self, to, seconds):
        begun, first = time.ticks_ms(), self.angle
        while True:
            gone = time.ticks_diff(time.ticks_ms(), begun) / 1000 / seconds
            if gone >= 1:
                break
            self.look(first + (to - first) * gone)
            time.sleep_ms(10)
        self.look(to)

    def hold(self, seconds):
        time.sleep(seconds)


arm = Arm()
arm.sweep(-45, 0.5)
arm.hold(1.3)
arm.sweep(45, 2)
arm.hold(1.3)
arm.sweep(0, 1)
arm.hold(0.5)
