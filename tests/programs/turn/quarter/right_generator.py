# A generator yields the angle; after each turn small corrections until it is within half a degree.
from machine import I2C, PWM, Pin
import time

WAKE, RATE = 0x6B, 0x47
i2c = I2C(1, scl=Pin(22), sda=Pin(21), freq=100000)
i2c.writeto_mem(0x68, WAKE, bytes(1))
time.sleep_ms(100)
motors = {n: PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)}


def reading():
    i2c.writeto(0x68, bytes([RATE]))
    a, b = i2c.readfrom(0x68, 2)
    return ((a << 8 | b) ^ 0x8000) - 0x8000


def push(effort):
    brake = 65535 - int(65535 * abs(effort))
    ahead, back = ((26, 27), (25, 14)) if effort > 0 else ((25, 14), (26, 27))
    for n in ahead:
        motors[n].duty_u16(65535)
    for n in back:
        motors[n].duty_u16(brake)


def angles(zero):
    total, last = 0, time.ticks_us()
    while True:
        time.sleep_ms(4)
        value, now = reading() - zero, time.ticks_us()
        total += value * time.ticks_diff(now, last)
        last = now
        yield total / 131e6


zero = sum([(time.sleep_ms(7), reading())[1] for _ in range(90)]) / 90
for goal in (90, -90):
    source = angles(zero)
    angle = next(source)
    for strength, near in ((0.36, 4), (0.3, 1), (0.3, 1)):
        sign = 1 if goal > angle else -1
        while sign * (goal - angle) > near:
            push(sign * strength)
            angle = next(source)
        push(0)
        for _ in range(30):
            angle = next(source)
    for _ in range(60):
        angle = next(source)
    print("turned", "%.2f" % angle)
    for _ in range(90):
        next(source)
for n in sorted(motors):
    motors[n].deinit()
