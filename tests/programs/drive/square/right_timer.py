# The moves come from a generator that a timer's callback drives.
# tune: TRIM bend -0.12 0.12
# tune: TURN turn 30 120
# tune: SIDE side 100 400
import time
from machine import PWM, Pin, Timer

TRIM = 0.0
TURN = 60
SIDE = 230
busy = True


def moves():
    for _ in range(4):
        yield 0.45 + TRIM, 0.45 - TRIM, SIDE
        yield 0, 0, 15
        yield -0.4 + TRIM, 0.4 - TRIM, TURN
        yield 0, 0, 15


def put(pair, effort):
    pair[0].duty_u16(65535 - int(65535 * max(-effort, 0)) if effort < 0 else 65535)
    if effort < 0:
        pair[0].duty_u16(65535 - int(65535 * -effort))
        pair[1].duty_u16(65535)
    else:
        pair[1].duty_u16(65535 - int(65535 * effort))


def step(timer):
    global busy
    for left, right, hundredths in course:
        put(port, left)
        put(starboard, right)
        timer.init(mode=Timer.ONE_SHOT, period=int(hundredths * 10), callback=step)
        return
    for pwm in port + starboard:
        pwm.duty_u16(0)
    busy = False


port = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26)]
starboard = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (27, 14)]
course = moves()
step(Timer(0))
while busy:
    time.sleep_ms(25)
