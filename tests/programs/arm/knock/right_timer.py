# A timer for each of the three moves.
from machine import Pin, PWM, Timer
import time

servo = PWM(Pin(18), freq=50, duty=51)
left = [3]


def move(number):
    def run(timer):
        servo.duty(number)
        left[0] -= 1
    return run


for k, (ms, number) in enumerate(((1400, 102), (2000, 77), (2600, 0))):
    Timer(k).init(mode=Timer.ONE_SHOT, period=ms, callback=move(number))
while left[0]:
    time.sleep_ms(20)
