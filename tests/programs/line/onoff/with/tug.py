from machine import PWM, Pin

LEFT = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
RIGHT = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)


def motor(pair, effort):
    effort = max(-1, min(1, effort))
    ahead, back = pair
    if effort >= 0:
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - effort)))
    else:
        back.duty_u16(65535)
        ahead.duty_u16(int(65535 * (1 + effort)))


def drive(left, right):
    """Set both efforts: -1 full astern, 0 brake, 1 full ahead; more is cut to that."""
    motor(LEFT, left)
    motor(RIGHT, right)


def stop():
    """Take both motors off the battery."""
    for pwm in LEFT + RIGHT:
        pwm.duty_u16(0)