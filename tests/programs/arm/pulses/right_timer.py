# A timer gives the orders; the program itself only waits for the last.
from machine import PWM, Pin, Timer
import time

servo = PWM(Pin(18), freq=50, duty_u16=0)
plan = [("duty_ns", 1000 * 1000), ("duty_u16", 4915), ("duty", 94), ("duty_u16", 0)]
servo.duty_ns(plan[0][1])
plan.pop(0)


def tick(timer):
    way, number = plan.pop(0)
    getattr(servo, way)(number)
    if not plan:
        timer.deinit()


Timer(1).init(mode=Timer.PERIODIC, period=1000, callback=tick)
while plan:
    time.sleep_ms(10)
