# Three states: learn the eyes, follow, stand. A bar is four dark eyes; a junction is ridden over.
import time
from machine import ADC, PWM, Pin


class Eye:
    def __init__(self, pin):
        self.adc = ADC(Pin(pin), atten=ADC.ATTN_11DB)
        self.counts = []

    def learn(self):
        self.counts.append(self.adc.read())

    def settle(self):
        self.low, self.high = min(self.counts), max(self.counts)

    def share(self):
        return (self.adc.read() - self.low) / (self.high - self.low)


class Side:
    def __init__(self, ahead, back):
        self.pair = PWM(Pin(ahead), freq=1000, duty_u16=0), PWM(Pin(back), freq=1000, duty_u16=0)

    def effort(self, value):
        on, pulse = self.pair if value >= 0 else reversed(self.pair)
        on.duty_u16(65535)
        pulse.duty_u16(int((1 - min(abs(value), 1)) * 65535))

    def off(self):
        for pwm in self.pair:
            pwm.duty_u16(0)


EYES = [Eye(pin) for pin in (36, 39, 34, 35)]
PORT, STARBOARD = Side(25, 26), Side(27, 14)


def spin(value, ms):
    PORT.effort(-value)
    STARBOARD.effort(value)
    end = time.ticks_add(time.ticks_ms(), ms)
    while time.ticks_diff(end, time.ticks_ms()) > 0:
        for eye in EYES:
            eye.learn()
        time.sleep_ms(8)


def learning():
    spin(0.4, 340)
    spin(-0.4, 690)
    spin(0.4, 340)
    for eye in EYES:
        eye.settle()
    return following


def following():
    lean = 0.0
    while True:
        a, b, c, d = [eye.share() for eye in EYES]
        dark = sum(share > 0.5 for share in (a, b, c, d))
        if dark == 4:
            return standing
        if 1 <= dark <= 2:
            lean = (3 * a + b - c - 3 * d) / (a + b + c + d)
        PORT.effort(0.45 - 0.12 * lean)
        STARBOARD.effort(0.45 + 0.12 * lean)
        time.sleep_ms(20)


def standing():
    for side in (PORT, STARBOARD):
        side.effort(0)
    time.sleep_ms(250)
    for side in (PORT, STARBOARD):
        side.off()
    return None


state = learning
while state:
    state = state()
