# The board's random numbers.
#
# A real board draws its first number from noise.  Here it comes from the trial's
# seed, so that the same trial gives the same recording, whatever interprets it.
# The generator is Marsaglia's xorshift with shifts 13, 17, 5 (Journal of
# Statistical Software 8(14), 2003; from memory).

import _link

_state = [0]


def seed(n=None):
    """Begin the sequence that belongs to a number."""
    n = _link.seed if n is None else _link.whole(n)
    # Neighbouring numbers must not begin alike, and 0 is the one state that stays as it is.
    _state[0] = ((n * 2654435761) ^ 0x9E3779B9) & 0xFFFFFFFF or 1
    for _ in range(8):
        _next()


def _next():
    x = _state[0]
    x ^= (x << 13) & 0xFFFFFFFF
    x ^= x >> 17
    x ^= (x << 5) & 0xFFFFFFFF
    _state[0] = x
    return x


def getrandbits(n):
    """Give a whole number of n random bits, n from 0 to 32."""
    if not 0 <= n <= 32:
        raise ValueError("bits must be 32 or less")
    return _next() >> (32 - n)


def random():
    """Give a number from 0.0 up to, but without, 1.0."""
    return ((_next() >> 5) * 67108864 + (_next() >> 6)) / 9007199254740992


def uniform(a, b):
    """Give a number between two others."""
    return a + (b - a) * random()


def _below(n):
    if n <= 0:
        raise ValueError
    return int(random() * n)


def randrange(start, stop=None, step=1):
    """Give one of the numbers of range(start, stop, step)."""
    start, step = _link.whole(start), _link.whole(step)
    if stop is None:
        start, stop = 0, start
    if not step:
        raise ValueError
    return start + step * _below(len(range(start, _link.whole(stop), step)))


def randint(a, b):
    """Give a whole number from a to b, both included."""
    return randrange(a, _link.whole(b) + 1)


def choice(sequence):
    """Give one item of a sequence."""
    if not len(sequence):
        raise IndexError
    return sequence[_below(len(sequence))]


seed()
