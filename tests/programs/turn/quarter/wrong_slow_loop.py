# criterion: It turns a quarter to port
# mistake: stops too late
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


def rate():
    high, low = bus.readfrom_mem(SENSOR, 0x47, 2)
    raw = 256 * high + low
    if raw >= 32768:
        raw -= 65536
    return raw / 131


bus.writeto_mem(SENSOR, 0x6B, bytes([0]))
time.sleep_ms(100)
bias = 0
for k in range(100):
    bias += rate() / 100
    time.sleep_ms(5)


def turn(degrees):
    way = 1 if degrees > 0 else -1
    angle = 0
    before = time.ticks_us()
    spin(0.4 * way)
    after = 0
    while after < 5:
        time.sleep_ms(60)
        now = time.ticks_us()
        angle += (rate() - bias) * time.ticks_diff(now, before) / 1000000
        before = now
        left = abs(degrees) - way * angle
        if left <= 0:
            spin(0)
            after += 1
    print("turned", angle)


turn(90)
time.sleep_ms(500)
turn(-90)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
