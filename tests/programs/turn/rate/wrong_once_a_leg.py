# Reads once for each turn.
# criterion: It is right to port
# mistake: one reading printed again and again
from machine import Pin, PWM, I2C
import time

SENSOR = 0x68

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
left_ahead = PWM(Pin(25), freq=1000, duty_u16=0)
left_back = PWM(Pin(26), freq=1000, duty_u16=0)
right_ahead = PWM(Pin(27), freq=1000, duty_u16=0)
right_back = PWM(Pin(14), freq=1000, duty_u16=0)


def motor(ahead, back, effort):
    if effort >= 0:
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - effort)))
    else:
        back.duty_u16(65535)
        ahead.duty_u16(int(65535 * (1 + effort)))


def spin(effort):
    motor(left_ahead, left_back, -effort)
    motor(right_ahead, right_back, effort)


# Measure the bias; turn to port, rest, turn to starboard, rest, and print the rate all the time.

def rate():
    high, low = bus.readfrom_mem(SENSOR, 0x47, 2)
    raw = 256 * high + low
    if raw >= 32768:
        raw = raw - 65536
    return raw / 131


bus.writeto_mem(SENSOR, 0x6B, bytes([0]))
time.sleep_ms(100)
total = 0
for k in range(100):
    total = total + rate()
    time.sleep_ms(5)
bias = total / 100
for effort in (0.4, 0, -0.4, 0):
    spin(effort)
    time.sleep_ms(300)
    r = rate()
    for k in range(10):
        time.sleep_ms(100)
        print("rate %.1f" % (r - bias))
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
