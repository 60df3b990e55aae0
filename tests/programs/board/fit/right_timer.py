# A timer ends the run; the wiring is read in one line.
import time
from machine import PWM, Pin, Timer
from neopixel import NeoPixel

try:
    from settings import LAMP_ORDER, LEFT_EFFORT, PINS, RIGHT_EFFORT
except ImportError:
    PINS = {"lamps": 13}

NAMES = ("left_ahead", "left_back", "right_ahead", "right_back")
pwm = [PWM(Pin(PINS[n]), freq=1000, duty_u16=0) for n in NAMES if n in PINS]
np = NeoPixel(Pin(PINS["lamps"]), 5)
over = []


def end(timer):
    for p in pwm:
        p.duty_u16(0)
    over.append(True)


def blink(timer):
    np[4] = (0, 0, 0) if np[4][0] else (100, 50, 0)
    np.write()


if len(pwm) < 4:
    Timer(0).init(period=250, mode=Timer.PERIODIC, callback=blink)
    while True:
        time.sleep(1)
if LAMP_ORDER == "RGB":
    np.ORDER = (0, 1, 2, 3)
np[0], np[1] = (60, 0, 0), (0, 60, 0)
np.write()
time.sleep(2.2)
clock = Timer(1)
clock.init(period=1900, mode=Timer.ONE_SHOT, callback=end)
for k, effort in ((0, LEFT_EFFORT), (2, RIGHT_EFFORT)):
    pwm[k].duty_u16(65535)
    pwm[k + 1].duty_u16(65535 - int(65535 * effort))
while not over:
    time.sleep_ms(20)
