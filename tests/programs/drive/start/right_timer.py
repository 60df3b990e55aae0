# A timer stops the motors.
# tune: LEFT left_start 102 307
# tune: RIGHT right_start 102 307
from machine import Pin, PWM, Timer
import time

LEFT = 205
RIGHT = 205
done = False


def stop(timer):
    global done
    for pwm in pwms:
        pwm.duty(1023)
    done = True


pwms = tuple(PWM(Pin(n), freq=1000, duty=0) for n in (26, 25, 14, 27))
for pwm, duty in zip(pwms, (1023 - LEFT, 1023, 1023 - RIGHT, 1023)):
    pwm.duty(duty)
Timer(1).init(mode=Timer.ONE_SHOT, period=2400, callback=stop)
while not done:
    time.sleep_ms(20)
