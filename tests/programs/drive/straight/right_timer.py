# A timer counts tenths of a second and stops the motors.
# tune: STARBOARD drift 0.45 0.75
# tune: TENTHS length 15 80
from machine import PWM, Pin, Timer
import time

PORT = 0.6
STARBOARD = 0.6
TENTHS = 38

left = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
right = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)
state = {"running": True}


def stop(_):
    for pwm in left + right:
        pwm.duty_u16(0)
    state["running"] = False


def go(pair, effort):
    pair[0].duty_u16(65535)
    pair[1].duty_u16(65535 - int(65535 * effort))


clock = Timer(0)
clock.init(mode=Timer.ONE_SHOT, period=int(TENTHS * 100), callback=stop)
go(left, PORT)
go(right, STARBOARD)
while state["running"]:
    time.sleep_ms(5)
