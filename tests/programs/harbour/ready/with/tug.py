from machine import ADC, PWM, Pin
import time

_left = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
_right = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)
_eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
_arm = PWM(Pin(18), freq=50, duty_ns=1500000)
white = [4095, 4095, 4095, 4095]
black = [0, 0, 0, 0]


def _motor(pair, effort):
    effort = max(-1, min(1, effort))
    ahead, back = pair if effort >= 0 else (pair[1], pair[0])
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * (1 - abs(effort))))


def drive(left, right):
    """Give each motor its effort, -1 to 1; drive(0, 0) brakes."""
    _motor(_left, left)
    _motor(_right, right)


def stop():
    """Switch both motors off."""
    for pwm in _left + _right:
        pwm.duty_u16(0)


def look():
    """Give how dark it is under each eye, 0 to 1, from port to starboard."""
    dark = []
    for k in range(4):
        share = (_eyes[k].read() - white[k]) / (black[k] - white[k])
        dark.append(max(0, min(1, share)))
    return dark


def _swing(left, right, ms):
    drive(left, right)
    for _ in range(ms // 10):
        for k in range(4):
            count = _eyes[k].read()
            white[k] = min(white[k], count)
            black[k] = max(black[k], count)
        time.sleep_ms(10)


def calibrate():
    """Turn to both sides and learn what each eye sees; takes 1.4 s. look() works only after it."""
    _swing(-0.4, 0.4, 350)
    _swing(0.4, -0.4, 700)
    _swing(-0.4, 0.4, 350)
    stop()


def arm(us):
    """Send the arm to a pulse in us: 1000 to starboard, 1500 ahead, 2000 to port."""
    _arm.duty_ns(1000 * us)
