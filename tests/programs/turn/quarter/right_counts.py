# Adds up in counts and microseconds; the effort falls with what is left, corrections included.
from machine import Pin, PWM, I2C
import time

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
M = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]


def motor(a, b, e):
    M[a].duty_u16(int(65535 * min(1, 1 + e)))
    M[b].duty_u16(int(65535 * min(1, 1 - e)))


def spin(e):
    motor(0, 1, -e)
    motor(2, 3, e)


def raw():
    high, low = bus.readfrom_mem(0x68, 0x47, 2)
    number = high * 256 + low
    return number - 65536 if number >= 32768 else number


def turn(goal):
    total, before, still = 0, time.ticks_us(), 0
    while still < 140:
        time.sleep_ms(4)
        now = time.ticks_us()
        total += (raw() - zero) * time.ticks_diff(now, before)
        before = now
        angle = total / 131e6
        rest = goal - angle
        if still or abs(rest) < 1.6:
            spin(0)
            still += 1
        else:
            spin((0.26 + min(abs(rest), 40) / 300) * (1 if rest > 0 else -1))
    print("turned {:.2f}".format(angle))


bus.writeto_mem(0x68, 0x6B, bytes([0]))
time.sleep_ms(100)
zero = sum((raw(), time.sleep_ms(5))[0] for _ in range(120)) / 120
turn(90)
turn(-90)
for m in M:
    m.duty_u16(0)
