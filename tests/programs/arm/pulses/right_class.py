# A class that works out all three numbers, and says them.
import time
from machine import PWM, Pin

FRAME_US = 20000


class Arm:
    def __init__(self, pin):
        self.pwm = PWM(Pin(pin))
        self.pwm.freq(50)
        self.pwm.duty(0)

    def us(self, angle):
        return 1500 + angle * 1000 / 90

    def numbers(self, angle):
        us = self.us(angle)
        return {
            "duty_ns": round(1000 * us),
            "duty_u16": round(us / FRAME_US * 65535),
            "duty": round(us / FRAME_US * 1023),
        }

    def go(self, angle, way):
        number = self.numbers(angle)[way]
        print(angle, way, number)
        getattr(self.pwm, way)(number)
        time.sleep_ms(1000)


arm = Arm(18)
arm.go(-45, "duty_ns")
arm.go(0, "duty_u16")
arm.go(30, "duty")
arm.pwm.deinit()
