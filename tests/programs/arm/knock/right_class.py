# Gently to starboard, one swing, gently back; then the servo is let go.
from machine import Pin, PWM
import time


class Arm:
    def __init__(self, pin=18, trim=0):
        self.trim = trim
        self.pwm = PWM(Pin(pin), freq=50, duty_u16=0)

    def at(self, angle):
        self.pwm.duty_u16(round((1500 + self.trim + angle * 1000 / 90) * 65536 / 20000))

    def ease(self, first, last):
        step = 1 if last > first else -1
        for angle in range(first, last + step, step):
            self.at(angle)
            time.sleep_ms(15)

    def swing(self):
        self.at(45)
        time.sleep_ms(400)


arm = Arm()
arm.ease(0, -45)
time.sleep(1.3)
arm.swing()
arm.ease(45, 0)
arm.pwm.deinit()
