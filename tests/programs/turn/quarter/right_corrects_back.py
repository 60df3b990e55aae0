# Turns well beyond the quarter, and corrects straight back.
import time
from machine import I2C, PWM, Pin

A_DEGREE = 131  # counts for one degree a second

pwms = {name: PWM(Pin(pin), freq=1000, duty_u16=0)
        for name, pin in (("pa", 25), ("pb", 26), ("sa", 27), ("sb", 14))}
wire = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
wire.writeto_mem(104, 107, b"\0")
time.sleep(0.12)


def counts():
    pair = wire.readfrom_mem(104, 71, 2)
    return (pair[0] ^ 128) * 256 + pair[1] - 32768


def power(turning):
    """Give the motors a turning effort, port positive; 0 brakes both."""
    for ahead, back, effort in (("pa", "pb", -turning), ("sa", "sb", turning)):
        pwms[ahead].duty_u16(round(65535 * min(1, 1 + effort)))
        pwms[back].duty_u16(round(65535 * min(1, 1 - effort)))


def follow(until, heading, since):
    """Add up until a question says yes; give the sum and the last moment."""
    while not until(heading):
        time.sleep_ms(3)
        moment = time.ticks_us()
        heading += (counts() - rest) / A_DEGREE * time.ticks_diff(moment, since) * 1e-6
        since = moment
    return heading, since


def still(milliseconds):
    end = time.ticks_add(time.ticks_ms(), milliseconds)
    return lambda heading: time.ticks_diff(time.ticks_ms(), end) >= 0


rest = 0
for _ in range(150):
    rest += counts() / 150
    time.sleep_ms(4)

for sign in (1, -1):
    heading, since = 0.0, time.ticks_us()
    power(0.4 * sign)
    heading, since = follow(lambda h: sign * h > 102, heading, since)
    power(-0.28 * sign)  # without a rest: this is no way back yet
    heading, since = follow(lambda h: sign * h < 91.3, heading, since)
    power(0)
    heading, since = follow(still(650), heading, since)
    print("turned %.1f" % heading)

for pwm in pwms.values():
    pwm.duty_u16(0)
