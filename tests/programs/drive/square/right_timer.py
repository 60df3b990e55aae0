# The moves come from a generator that a timer's callback drives.
# tune: TRIM bend -0.12 0.12
# tune: TURN turn 300 1200
# tune: SIDE side 1000 4000
import time
from machine import PWM, Pin, Timer

TRIM = 0.0
TURN = 600
SIDE = 2300
busy = True


def moves():
    for _ in range(4):
        yield 0.45 + TRIM, 0.45 - TRIM, SIDE
        yield 0, 0, 150
        yield -0.4 + TRIM, 0.4 - TRIM, TURN
        yield 0, 0, 150


def put(pair, effort):
    ahead, back = pair if effort >= 0 else (pair[1], pair[0])
    ahead.duty_u16(65535)
    back.duty_u16(65535 - int(65535 * abs(effort)))


def step(timer):
    global busy
    for left, right, ms in course:
        put(port, left)
        put(starboard, right)
        timer.init(mode=Timer.ONE_SHOT, period=ms, callback=step)
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
