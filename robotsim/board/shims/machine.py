# The board's machine module.  What it offers lies in the files that it names here.

import _link
from _adc import ADC  # noqa: F401
from _bus import I2C, SoftI2C  # noqa: F401
from _pin import Pin, Signal  # noqa: F401
from _pwm import PWM  # noqa: F401
from _timer import Timer  # noqa: F401

PWRON_RESET = 1
HARD_RESET = 2
WDT_RESET = 3
DEEPSLEEP_RESET = 4
SOFT_RESET = 5

# As an older firmware's source has it (read): its reset() counts as a soft one.
_CAUSES = {
    "machine.reset()": SOFT_RESET,
    "machine.soft_reset()": SOFT_RESET,
    "machine.deepsleep()": DEEPSLEEP_RESET,
    "brown-out": WDT_RESET,
}
_MHZ = (20, 40, 80, 160, 240)
_freq = [160000000]


def unique_id():
    """Give the board's own number as six bytes."""
    answer = _link.ask("N")
    return bytes(int(answer[k : k + 2], 16) for k in range(0, 12, 2))


def reset():
    """Start the board anew, as its reset button does."""
    _link.ask("R hard")


def soft_reset():
    """Start the program anew."""
    _link.ask("R soft")


def reset_cause():
    """Give why the board has started: machine.PWRON_RESET, or a value for each other cause."""
    return _CAUSES.get(_link.cause, PWRON_RESET)


def freq(hz=None):
    """Give the processor's clock in Hz, or set it; no program here runs faster for it."""
    if hz is None:
        return _freq[0]
    if _link.whole(hz) not in [mhz * 1000000 for mhz in _MHZ]:
        raise ValueError("frequency must be 20MHz, 40MHz, 80Mhz, 160MHz or 240MHz")
    _freq[0] = hz


def idle():
    """Do nothing for a moment."""
    _link.ask("Y")


def lightsleep(time_ms=None):
    """Sleep for some milliseconds; a program without a time sleeps for good."""
    _link.sleep_us(1000000000000 if time_ms is None else _link.whole(time_ms) * 1000)


def deepsleep(time_ms=None):
    """Sleep for some milliseconds, then start the board anew."""
    lightsleep(time_ms)
    _link.ask("R deep")


def disable_irq():
    """Hold callbacks back until enable_irq(state); give the state."""
    return _link.hold(True)


def enable_irq(state):
    """Let callbacks come again, as they might before disable_irq()."""
    _link.hold(state)


def time_pulse_us(pin, pulse_level, timeout_us=1000000):
    """Give how many microseconds a pin stays at a level: -2 if it never comes, -1 if it stays."""
    level = 1 if pulse_level else 0
    return int(_link.ask("W %d %d %d" % (Pin(pin).number, level, _link.whole(timeout_us))))
