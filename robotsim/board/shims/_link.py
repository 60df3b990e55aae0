# The program's end of the link.  LINK.md beside the board's code tells the language.
#
# Like every file in this folder it is written in what CPython and MicroPython
# have in common: no type hints, no f-strings, no keyword-only arguments.

import builtins

try:  # CPython: the bare file descriptors, without a layer between
    from os import read as _read
    from os import write as _write

    def _send(data):
        while data:
            data = data[_write(1, data) :]

    def _receive():
        data = _read(0, 65536)
        while data and not data.endswith(b"\n"):
            data += _read(0, 65536)
        return data[:-1]

except ImportError:  # MicroPython
    import sys

    _in, _out = sys.stdin.buffer, sys.stdout.buffer

    def _send(data):
        _out.write(data)

    def _receive():
        return _in.readline()[:-1]


_waiting = []
_callbacks = {}
armed = set()
_after = {}  # analogue pin to the one that was sampled right after it
_ahead = []  # samples that the host has given ahead: (pin, count)
_sampled = None  # the pin that was just sampled, if nothing has happened since
seed = 0  # of the board's random numbers; the boot file puts the trial's here


class Gone(BaseException):
    """The host has closed the link: the trial is over."""


def flush():
    if _waiting:
        _waiting.append("")
        data = "\n".join(_waiting).encode()
        _waiting.clear()
        _send(data)


def tell(message):
    """Send a message that has no answer."""
    global _sampled
    if _sampled is not None:
        _sampled = None
        _ahead.clear()
    _waiting.append(message)
    if armed:
        ask("Y")  # a callback may be due: give it its turn
    elif len(_waiting) > 60:
        flush()


def ask(message):
    """Send a message and give the answer as text; run callbacks that come before it."""
    global _sampled
    if _sampled is not None:
        _sampled = None
        _ahead.clear()
    _waiting.append(message)
    flush()
    while True:
        answer = _receive()
        if not answer:
            raise Gone()
        first = answer[:1]
        if first == b"=":
            return answer[1:].decode()
        if first == b">":
            source, number = answer[1:].decode().split(" ")
            handler = _callbacks.get((source, int(number)))
            if handler:
                try:
                    handler()
                except Exception as fault:  # as on the board: told, and the program goes on
                    _waiting.append("w " + on_fault(fault))
            _waiting.append(".")
            flush()
            continue
        kind, _, text = answer[1:].decode().partition(" ")
        if kind == "OSError":
            raise OSError(int(text.split("]")[0].split(" ")[1]), text.split("] ")[1])
        raise getattr(builtins, kind)(text)


def sample(pin):
    """Give an analogue pin's count.

    Programs read their eyes one after the other, in every round alike.  So the
    pins that followed this one last time are asked for along with it: one
    exchange for all.  The host lets a sample ahead happen only when it is taken.
    """
    global _sampled
    before = _sampled
    if before is not None:
        _after[before] = pin
        if _ahead and _ahead[0][0] == pin:
            _waiting.append("b")
            _sampled = pin
            return _ahead.pop(0)[1]
    pins = [pin]
    follower = _after.get(pin)
    while follower is not None and follower not in pins and not armed:
        pins.append(follower)
        follower = _after.get(follower)
    counts = ask("A " + " ".join([str(number) for number in pins])).split(" ")
    for k in range(1, len(counts)):
        _ahead.append((pins[k], int(counts[k])))
    _sampled = pin
    return int(counts[0])


def on_fault(fault):
    """Tell an exception as JSON; the boot file puts its own in this place."""
    return '{"kind": "%s", "message": "", "calls": []}' % type(fault).__name__


def live_on():
    """Let callbacks that are armed go on after the program's last line."""
    while armed:
        ask("S 1000000")


def tell_last(message):
    """Send the last word."""
    _waiting.append(message)
    flush()


def arm(source, number, handler):
    """From now on run a handler when the host hands over this callback."""
    _callbacks[(source, number)] = handler
    armed.add((source, number))


def disarm(source, number):
    _callbacks.pop((source, number), None)
    armed.discard((source, number))


def whole(value):
    # As on the board: a float or a text is no whole number.
    if not isinstance(value, int):
        raise TypeError("can't convert %s to int" % type(value).__name__)
    return int(value)


def sleep_us(duration):
    if duration < 0:
        duration = 0
    if armed:
        ask("S %d" % duration)
    else:
        tell("s %d" % duration)


def receive_program():
    """Read what the host sends first."""
    return _receive()
