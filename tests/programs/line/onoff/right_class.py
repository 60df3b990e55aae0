# States as objects; the threshold of each eye follows what it has seen so far.
import time
from machine import ADC, PWM, Pin


class Eye:
    def __init__(self, pin):
        self.adc = ADC(Pin(pin))
        self.adc.atten(ADC.ATTN_11DB)
        self.low = self.high = 2250

    def dark(self):
        count = self.adc.read()
        self.low = min(self.low, count)
        self.high = max(self.high, count)
        return count > (self.low + self.high) // 2


class Tug:
    def __init__(self):
        self.pins = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]
        self.eyes = [Eye(n) for n in (36, 39, 34, 35)]
        self.state = self.ahead

    def efforts(self, left, right):
        la, lb, ra, rb = self.pins
        la.duty_u16(65535)
        ra.duty_u16(65535)
        lb.duty_u16(round(65535 * (1 - left)))
        rb.duty_u16(round(65535 * (1 - right)))

    def ahead(self):
        self.efforts(0.5, 0.5)

    def to_port(self):
        self.efforts(0.25, 0.65)

    def to_starboard(self):
        self.efforts(0.65, 0.25)

    def step(self):
        a, b, c, d = [eye.dark() for eye in self.eyes]
        if a or (b and not c):
            self.state = self.to_port
        elif d or (c and not b):
            self.state = self.to_starboard
        elif b and c:
            self.state = self.ahead
        self.state()


tug = Tug()
for _ in range(1300):
    tug.step()
    time.sleep_ms(20)
for pwm in tug.pins:
    pwm.duty_u16(0)
