# criterion: It goes straight by its settings
# mistake: fast decay where slow decay was asked
from machine import Pin, PWM
import time

try:
    import settings
except ImportError:
    settings = None

motors = []
if settings:
    for side in ("left", "right"):
        for way in ("ahead", "back"):
            motors.append(PWM(Pin(settings.PINS[side + "_" + way]), freq=1000, duty_u16=0))

from neopixel import NeoPixel

lamps = NeoPixel(Pin(settings.PINS["lamps"] if settings else 13), 5)
if settings and settings.LAMP_ORDER == "RGB":
    lamps.ORDER = (0, 1, 2, 3)


def deck(colour):
    lamps[4] = colour
    lamps.write()


while not settings:
    deck((120, 50, 0))
    time.sleep_ms(250)
    deck((0, 0, 0))
    time.sleep_ms(250)

lamps[0] = (100, 0, 0)
lamps[1] = (0, 100, 0)
deck((120, 50, 0))
time.sleep(2)
deck((60, 60, 60))
try:
    motors[0].duty_u16(int(65535 * settings.LEFT_EFFORT))
    motors[2].duty_u16(int(65535 * settings.RIGHT_EFFORT))
    time.sleep(2)
finally:
    for pwm in motors:
        pwm.duty_u16(0)
deck((0, 0, 0))
