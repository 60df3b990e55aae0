# criterion: It reports the four counts of white
# criterion: It reports the four counts of black
# mistake: the report has not the form agreed
# Keeps all counts, sorts them, and leaves out the three outermost on either side.
import time
from machine import ADC, PWM, Pin

eyes = tuple(ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35))
pwms = [PWM(Pin(n), freq=1000, duty=0) for n in (25, 26, 27, 14)]


def duties(*values):
    for pwm, value in zip(pwms, values):
        pwm.duty(value)


def rounds():
    port, starboard = (600, 1023, 1023, 600), (1023, 600, 600, 1023)
    for turn, count in ((port, 70), (starboard, 140), (port, 70)):
        duties(*turn)
        for _ in range(count):
            time.sleep_ms(5)
            yield [eye.read() for eye in eyes]
    duties(1023, 1023, 1023, 1023)


columns = list(zip(*rounds()))
time.sleep_ms(300)
duties(0, 0, 0, 0)
for number, column in enumerate(columns):
    ranked = sorted(column)
    print("%d: %.2f V to %.2f V" % (number, ranked[3] * 3.1 / 4095, ranked[-4] * 3.1 / 4095))
