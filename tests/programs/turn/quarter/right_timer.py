# A timer adds up fifty times a second; allowance for rolling on grows with the rate.
from machine import I2C, Pin, PWM, Timer
import time

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
bus.writeto(0x68, b"\x6b\x00")
time.sleep_ms(40)


def counts():
    data = bus.readfrom_mem(0x68, 0x3B, 14)
    number = data[12] << 8 | data[13]
    return number - 65536 if number & 0x8000 else number


def mean(count):
    total = 0
    for _ in range(count):
        total += counts()
        time.sleep_ms(5)
    return total / count


zero = mean(120)
now = {"angle": 0.0, "rate": 0.0, "at": time.ticks_us()}


def add(_):
    at = time.ticks_us()
    now["rate"] = (counts() - zero) / 131
    now["angle"] += now["rate"] * time.ticks_diff(at, now["at"]) / 1e6
    now["at"] = at


la, lb, ra, rb = [PWM(Pin(n), freq=1000, duty_u16=65535) for n in (25, 26, 27, 14)]
clock = Timer(0, period=8, mode=Timer.PERIODIC, callback=add)
for forward, goal in (((lb, ra), 90), ((la, rb), -90)):
    start = now["angle"]
    others = (la, rb) if goal > 0 else (lb, ra)
    for pwm in others:
        pwm.duty_u16(int(65535 * 0.66))
    while abs(now["angle"] - start) + abs(now["rate"]) * 0.012 < 89.5:
        time.sleep_ms(2)
    for pwm in others:
        pwm.duty_u16(65535)
    time.sleep_ms(600)
    print("turned %.1f degrees" % (now["angle"] - start))
clock.deinit()
for pwm in (la, lb, ra, rb):
    pwm.duty_u16(0)
