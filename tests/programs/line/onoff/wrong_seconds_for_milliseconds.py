# criterion: It goes round the quay
# mistake: the program ends too soon
from machine import ADC, PWM, Pin
import time

LEFT = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
RIGHT = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)
EYES = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
white = [4095, 4095, 4095, 4095]
black = [0, 0, 0, 0]


def motor(pair, effort):
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
threshold = [(w + b) / 2 for w, b in zip(white, black)]
drive(0.5, 0.5)
begin = time.ticks_ms()
while time.ticks_diff(time.ticks_ms(), begin) < 26:
    dark = [EYES[k].read() > threshold[k] for k in range(4)]
    port = dark[0] + dark[1]
    starboard = dark[2] + dark[3]
    if port > starboard:
        drive(0.3, 0.7)
    elif starboard > port:
        drive(0.7, 0.3)
    time.sleep_ms(40)
for pwm in LEFT + RIGHT:
    pwm.duty_u16(0)
