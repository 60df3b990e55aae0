# criterion: It follows the wave to the stop bar
# mistake: gain too low
# A small class for the law of steering, one for the tug.
import time
from machine import ADC, PWM, Pin


class Steering:
    def __init__(self, gain, lead):
        self.gain, self.lead = gain, lead
        self.last, self.when = 0.0, None

    def __call__(self, error):
        now = time.ticks_us()
        rate = 0.0
        if self.when is not None:
            rate = (error - self.last) / (time.ticks_diff(now, self.when) / 1e6)
        self.last, self.when = error, now
        return self.gain * (error + self.lead * rate)


class Tug:
    PLACES = 18, 6, -6, -18

    def __init__(self):
        self.eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
        self.white, self.black = [4095] * 4, [0] * 4
        self.motors = [[PWM(Pin(n), freq=1000, duty_u16=0) for n in pair] for pair in ((25, 26), (27, 14))]
        self.seen = 0.0

    def drive(self, *efforts):
        for (ahead, back), effort in zip(self.motors, efforts):
            if effort < 0:
                ahead, back = back, ahead
            ahead.duty_u16(65535)
            back.duty_u16(int(65535 * (1 - min(abs(effort), 1))))

    def learn(self):
        counts = [eye.read() for eye in self.eyes]
        self.white = [min(pair) for pair in zip(self.white, counts)]
        self.black = [max(pair) for pair in zip(self.black, counts)]

    def calibrate(self):
        for turn, steps in ((0.4, 35), (-0.4, 70), (0.4, 35)):
            self.drive(-turn, turn)
            for _ in range(steps):
                self.learn()
                time.sleep_ms(10)
        self.drive(0, 0)

    def look(self):
        shares = [
            min(1, max(0, (eye.read() - w) / (b - w)))
            for eye, w, b in zip(self.eyes, self.white, self.black)
        ]
        if all(share > 0.5 for share in shares):
            return None
        if 0.3 < sum(shares) < 2.5:
            self.seen = sum(p * s for p, s in zip(self.PLACES, shares)) / sum(shares)
        return self.seen


tug, steer = Tug(), Steering(0.004, 0.02)
tug.calibrate()
while True:
    error = tug.look()
    if error is None:
        break
    turn = steer(error)
    slow = 0.8 - 0.004 * abs(error)
    tug.drive(slow - turn, slow + turn)
    time.sleep_ms(30)
tug.drive(0, 0)
