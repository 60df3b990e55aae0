# The tug as an object that is made from settings, or not at all.
import time
from machine import PWM, Pin
from neopixel import NeoPixel


class Tug:
    def __init__(self, s):
        pins = s.PINS
        self.off = [Pin(pins[name], Pin.OUT, value=0) for name in (
            "left_ahead", "left_back", "right_ahead", "right_back")]
        self.left = self.pair(self.off[0], self.off[1])
        self.right = self.pair(self.off[2], self.off[3])
        self.efforts = s.LEFT_EFFORT, s.RIGHT_EFFORT
        self.chain = NeoPixel(Pin(pins["lamps"]), 5)
        self.red_first = s.LAMP_ORDER[0] == "R"

    @staticmethod
    def pair(ahead, back):
        return PWM(ahead, freq=1000, duty=0), PWM(back, freq=1000, duty=0)

    def light(self, lamp, r, g, b):
        self.chain[lamp] = (g, r, b) if self.red_first else (r, g, b)
        self.chain.write()

    def ahead(self):
        for (ahead, back), effort in zip((self.left, self.right), self.efforts):
            ahead.duty(1023)
            back.duty(1023 - round(1023 * effort))

    def stop(self):
        for pwm in self.left + self.right:
            pwm.duty(0)


def call_for_help():
    chain = NeoPixel(Pin(13), 5)
    while True:
        for colour in ((90, 60, 0), (0, 0, 0)):
            chain[4] = colour
            chain.write()
            time.sleep_ms(260)


def main():
    try:
        import settings
    except ImportError:
        call_for_help()
    tug = Tug(settings)
    tug.light(0, 80, 0, 0)
    tug.light(1, 0, 80, 0)
    time.sleep_ms(2100)
    try:
        tug.ahead()
        time.sleep(1.8)
    finally:
        tug.stop()


main()
