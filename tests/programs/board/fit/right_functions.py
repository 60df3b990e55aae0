# No name of a pin stands twice; what there is to do stands in small functions.
import time
from machine import Pin, PWM
from neopixel import NeoPixel

SIDES = ("left", "right")


def load():
    try:
        return __import__("settings")
    except ImportError:
        return None


def halt(wheels):
    for pair in wheels.values():
        for pwm in pair:
            pwm.duty_ns(0)


def forward(wheels, s):
    for side, effort in zip(SIDES, (s.LEFT_EFFORT, s.RIGHT_EFFORT)):
        ahead, back = wheels[side]
        ahead.duty_u16(65535)
        back.duty_u16(65535 - int(effort * 65535))


def sail(s):
    ends = "_ahead", "_back"
    wheels = {k: [PWM(Pin(s.PINS[k + e]), freq=1000, duty_u16=0) for e in ends] for k in SIDES}
    lamps = NeoPixel(Pin(s.PINS["lamps"]), 5)
    red, green = (75, 0, 0), (0, 75, 0)
    lamps[0], lamps[1] = (red, green) if s.LAMP_ORDER == "GRB" else (green, red)
    lamps.write()
    begun = time.ticks_ms()
    while time.ticks_diff(time.ticks_ms(), begun) < 2050:
        time.sleep_ms(50)
    forward(wheels, s)
    time.sleep_ms(2000)
    halt(wheels)


def call():
    lamps = NeoPixel(Pin(13), 5)
    lit = False
    while True:
        lit = not lit
        lamps[4] = (140, 70, 0) if lit else (0, 0, 0)
        lamps.write()
        time.sleep(0.27)


s = load()
sail(s) if s else call()
