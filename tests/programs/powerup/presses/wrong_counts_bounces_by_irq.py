# criterion: Each touch counts once
# mistake: each bounce is counted
from machine import PWM, Pin

pins = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]

import time
from neopixel import NeoPixel

chain = NeoPixel(Pin(13), 5)
bumper = Pin(19, Pin.IN, Pin.PULL_UP)
count = 0


def pressed(pin):
    global count
    count += 1
    for k in range(min(count, 5)):
        chain[k] = (50, 50, 50)
    chain.write()


def go(effort):
    for k in (0, 2):
        a, b = (pins[k], pins[k + 1]) if effort > 0 else (pins[k + 1], pins[k])
        a.duty_u16(65535)
        b.duty_u16(int(65535 * (1 - abs(effort))))


bumper.irq(handler=pressed, trigger=Pin.IRQ_FALLING)
seen = 0
while count < 5:
    go(0.4)
    time.sleep_ms(5)
    if count > seen:
        go(-0.4)
        time.sleep_ms(400)
        seen = count
for pwm in pins:
    pwm.duty_u16(0)
