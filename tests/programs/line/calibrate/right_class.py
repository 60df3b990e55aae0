# Each eye keeps its own range; the tug turns by what the eyes see, not by the clock.
import time
from machine import ADC, PWM, Pin


class Eye:
    def __init__(self, pin):
        self.adc = ADC(Pin(pin))
        self.adc.atten(ADC.ATTN_11DB)
        self.low, self.high = 4095, 0

    def read(self):
        count = self.adc.read_u16() >> 4
        self.low = min(self.low, count)
        self.high = max(self.high, count)
        return count

    @property
    def dark(self):
        return self.read() > 2200


class Motor:
    def __init__(self, ahead, back):
        self.ahead = PWM(Pin(ahead), freq=1000, duty_u16=0)
        self.back = PWM(Pin(back), freq=1000, duty_u16=0)

    def run(self, percent):
        still, pulsed = (self.ahead, self.back) if percent >= 0 else (self.back, self.ahead)
        still.duty_u16(65535)
        pulsed.duty_u16(65535 * (100 - abs(percent)) // 100)

    def off(self):
        self.ahead.duty_u16(0)
        self.back.duty_u16(0)


eyes = [Eye(pin) for pin in (36, 39, 34, 35)]
left, right = Motor(25, 26), Motor(27, 14)


def turn(percent, until):
    """Turn to port (positive) or starboard until the eyes show what is waited for."""
    left.run(-percent)
    right.run(percent)
    while True:
        seen = [eye.dark for eye in eyes]
        if until(seen):
            break
        time.sleep_ms(5)
    left.run(0)
    right.run(0)
    time.sleep_ms(150)


turn(38, lambda seen: seen[3])
turn(38, lambda seen: not any(seen))
turn(-38, lambda seen: seen[1] and seen[2])
turn(-38, lambda seen: seen[0])
turn(-38, lambda seen: not any(seen))
turn(38, lambda seen: seen[1])
turn(25, lambda seen: seen[2])
for motor in (left, right):
    motor.off()
for number, eye in enumerate(eyes):
    print("eye {} white {} black {}".format(number, eye.low, eye.high))
