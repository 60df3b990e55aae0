# Red is forgotten.
# criterion: Its side lamps are right by its settings
# mistake: a side lamp is dark or shows another colour
from machine import Pin, PWM
import time

try:
    import settings
except ImportError:
    settings = None

if settings:
    motors = [
        PWM(Pin(settings.PINS[name]), freq=1000, duty_u16=0)
        for name in ("left_ahead", "left_back", "right_ahead", "right_back")
    ]
from neopixel import NeoPixel

lamps = NeoPixel(Pin(settings.PINS["lamps"] if settings else 13), 5)
if settings and settings.LAMP_ORDER == "RGB":
    lamps.ORDER = (0, 1, 2, 3)
while not settings:
    lamps[4] = (120, 50, 0)
    lamps.write()
    time.sleep_ms(250)
    lamps[4] = (0, 0, 0)
    lamps.write()
    time.sleep_ms(250)
lamps[1] = (0, 120, 0)
lamps.write()
time.sleep(2)


def stop():
    for pwm in motors:
        pwm.duty_u16(0)


try:
    motors[0].duty_u16(65535)
    motors[2].duty_u16(65535)
    motors[1].duty_u16(int(65535 * (1 - settings.LEFT_EFFORT)))
    motors[3].duty_u16(int(65535 * (1 - settings.RIGHT_EFFORT)))
    time.sleep(2)
finally:
    stop()
