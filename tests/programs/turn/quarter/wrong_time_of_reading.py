# Leaves out the time that the reading takes.
# criterion: It turns a quarter to port
# mistake: a part of each round's time is left out
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


# Measure the bias, turn 90 degrees to port, rest, turn 90 degrees back, motors off.

def rate():
    high, low = bus.readfrom_mem(SENSOR, 0x47, 2)
    raw = 256 * high + low
    if raw >= 32768:
        raw = raw - 65536
    return raw / 131


def step():
    global angle, before
    time.sleep_ms(5)
    now = time.ticks_us()
    angle = angle + (rate() - bias) * time.ticks_diff(now, before) / 1000000
    before = time.ticks_us()


def turn(side):
    global angle, before
    angle = 0
    before = time.ticks_us()
    spin(0.4 * side)
    while angle * side < 70:
        step()
    spin(0.3 * side)
    while angle * side < 89:
        step()
    spin(0)
    for k in range(100):
        step()
    print("turned %.1f" % angle)


bus.writeto_mem(SENSOR, 0x6B, bytes([0]))
time.sleep_ms(100)
total = 0
for k in range(100):
    total = total + rate()
    time.sleep_ms(5)
bias = total / 100

turn(1)
turn(-1)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
