# criterion: It follows the wave to the stop bar
# mistake: steers hardly at all
from machine import ADC, PWM, Pin
import time

LEFT = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
RIGHT = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)
EYES = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
EFFORT = 0.75
KP = 0.0
KD = 0.0
white = [4095, 4095, 4095, 4095]
black = [0, 0, 0, 0]


def motor(pair, effort):
    effort = max(-1, min(1, effort))
    ahead, back = pair if effort >= 0 else (pair[1], pair[0])
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * (1 - abs(effort))))


def drive(left, right):
    motor(LEFT, left)
    motor(RIGHT, right)


def swing(left, right, ms):
    drive(left, right)
    for _ in range(ms // 10):
        for k in range(4):
            count = EYES[k].read()
            white[k] = min(white[k], count)
            black[k] = max(black[k], count)
        time.sleep_ms(10)


swing(-0.4, 0.4, 350)
swing(0.4, -0.4, 700)
swing(-0.4, 0.4, 350)
last = 0
while True:
    dark = []
    for k in range(4):
        d = (EYES[k].read() - white[k]) / (black[k] - white[k])
        dark.append(max(0, min(1, d)))
    total = sum(dark)
    if min(dark) > 0.5:
        break
    if total < 0.3:
        position = 24 if last > 0 else -24
    else:
        position = (18 * dark[0] + 6 * dark[1] - 6 * dark[2] - 18 * dark[3]) / total
    steer = KP * position + KD * (position - last) / 0.04
    last = position
    drive(EFFORT - steer, EFFORT + steer)
    time.sleep_ms(40)
for pwm in LEFT + RIGHT:
    pwm.duty_u16(0)
