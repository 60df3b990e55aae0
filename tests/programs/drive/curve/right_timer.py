# A timer that comes every 10 ms counts down and stops the motors.
# tune: PORT radius 0.3 0.65
# tune: TICKS half 100 900
from machine import PWM, Pin, Timer
import time

PORT = 0.45
STARBOARD = 0.6
TICKS = 350
left = {}


def put(pins, effort):
    pins[0].duty_u16(65535 if effort else 0)
    pins[1].duty_u16(65535 - int(65535 * effort) if effort else 0)


def tick(timer):
    left["ticks"] -= 1
    if left["ticks"] <= 0:
        put(a, 0)
        put(b, 0)
        timer.deinit()


a = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26)]
b = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (27, 14)]
left["ticks"] = int(TICKS)
put(a, PORT)
put(b, STARBOARD)
Timer(2, mode=Timer.PERIODIC, period=10, callback=tick)
while left["ticks"] > 0:
    time.sleep_ms(50)
