# tune: LEFT left_start 0.10 0.30
# tune: RIGHT right_start 0.10 0.30
import time
from machine import PWM, Pin

LEFT = 0.2
RIGHT = 0.2


class Motor:
    def __init__(self, ahead, back):
        self.ahead = PWM(Pin(ahead), freq=1000, duty_u16=0)
        self.back = PWM(Pin(back), freq=1000, duty_u16=0)

    def effort(self, share):
        self.ahead.duty_u16(65535)
        self.back.duty_u16(round(65535 * (1 - share)))

    def __enter__(self):
        return self

    def __exit__(self, *ignored):
        self.ahead.duty_u16(0)
        self.back.duty_u16(0)


with Motor(25, 26) as port, Motor(27, 14) as starboard:
    port.effort(LEFT)
    starboard.effort(RIGHT)
    time.sleep_ms(2200)
