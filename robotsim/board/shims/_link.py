# The program's end of the link.  LINK.md beside the board's code tells the language.
#
# Like every file in this folder it is written in what CPython and MicroPython
# have in common: no type hints, no f-strings, no keyword-only arguments.

import builtins
import json
import sys

import _wire

_waiting = []
_callbacks = {}
armed = set()
_after = {}  # analogue pin to the one that was sampled right after it, and what was spent between
_ahead = []  # samples that the host has given ahead: (pin, count, what is to be spent before)
_sampled = None  # the pin that was just sampled, if nothing has happened since
_now = _pace = 0  # the clock when last looked at, and what a look takes, both in microseconds
_seen = 0  # how much of what was spent is in that clock already
_left = 0  # how many looks the host has allowed ahead, if nothing has happened since
_looks = 0  # how many of them were taken and are not told yet
seed = 0  # of the board's random numbers; the boot file puts the trial's here
cause = "power"  # why the board has started, from the boot file too
_spent = 0  # microseconds that the program has computed and that are not told yet
_made = 0  # bytes that it has made since the collector last ran
_patience = 20000  # how much may be spent until it is told though the program says nothing
collect_us, collect_bytes = 4000, 80000  # how long the collector runs, and how often
_soon = []  # what is to run as soon as may be: (function, argument)
_SOON_MOST = 8
_inside = False  # a callback is running
_held = False  # callbacks are held back
_later = []  # those that came meanwhile
_place = _noted = -1  # the line where the program is, and the one that was told last (computing.py)


class Gone(BaseException):
    """The host has closed the link: the trial is over."""


def flush():
    if _waiting:
        _waiting.append("")
        data = "\n".join(_waiting).encode()
        _waiting.clear()
        _wire.send(data)


def put(message):
    """Have a message wait to be sent, after what was spent and the looks that came before it."""
    global _left, _looks, _noted, _spent
    _left = 0
    if _place != _noted:
        _noted = _place
        _waiting.append("l %d %d" % divmod(_place, 1000000))
    if _looks:
        _waiting.append("c %d" % _looks)
        _looks = 0
    if _spent:
        message = "+%d %s" % (_spent, message)
        _spent = 0
    _waiting.append(message)


def line(place, given=None):
    """Note the line where the program is, where the host has put that into its text."""
    global _place
    _place = place
    return given


def spent(us, size, place):
    """Count what the program computes: microseconds, bytes made, and the place where it is.

    The host has put the calls into the program's text; they give nothing, which is false.
    """
    global _spent, _made, _patience
    _spent += us
    _made += size
    if _made > collect_bytes:
        _made = 0
        _spent += collect_us
    if _spent > _patience:
        if armed and not _inside:  # a callback may be due: it waits for the statement that runs
            _patience = int(ask("Z %d" % place))
        else:
            _say("z %d" % place)
            if len(_waiting) > 60:
                flush()


def _say(message):
    """Have a message wait to be sent, with which samples ahead are lost."""
    global _sampled
    if _sampled is not None:
        _sampled = None
        _ahead.clear()
    if _soon:
        _run_soon()
    put(message)


def tell(message):
    """Send a message that has no answer."""
    _say(message)
    if armed:
        ask("Y")  # a callback may be due: give it its turn
    elif len(_waiting) > 60:
        flush()


def ask(message):
    """Send a message and give the answer as text; run callbacks that come before it."""
    _say(message)
    flush()
    while True:
        answer = _wire.receive()
        if not answer:
            raise Gone()
        first = answer[:1]
        if first == b"=":
            return answer[1:].decode()
        if first == b">":
            _call(answer[1:].decode().split(" "))
            put(".")
            flush()
            continue
        kind, _, text = answer[1:].decode().partition(" ")
        if kind == "OSError":
            raise os_error(int(text.split("]")[0].split(" ")[1]), text.split("] ")[1])
        raise getattr(builtins, kind)(text)


def _call(place):
    """Run the callback that the host hands over."""
    handler = _callbacks.get((place[0], int(place[1])))
    if handler is None:
        return
    if _held:
        if handler not in _later:
            _later.append(handler)
        return
    _guarded(handler)


def _guarded(handler, *arguments):
    """Run a callback, and what it has asked to be run after it; an exception is told."""
    global _inside, _place
    _inside, before = True, _place
    try:
        handler(*arguments)
    except Exception as fault:  # as on the board: told, and the program goes on
        put("w " + on_fault(fault))
    _inside, _place = False, before
    if _soon:
        _run_soon()


def _run_soon():
    while _soon and not _inside and not _held:
        function, argument = _soon.pop(0)
        _guarded(function, argument)


def schedule(function, argument):
    """Run function(argument) before the program's next message, or after this callback."""
    if len(_soon) >= _SOON_MOST:
        raise RuntimeError("schedule queue full")
    _soon.append((function, argument))


def hold(state):
    """Hold callbacks back, or run those that have come meanwhile; give how it was."""
    global _held
    before, _held = _held, bool(state)
    while _later and not _held:
        _guarded(_later.pop(0))
    return before


def os_error(number, name):
    """Make an OSError; the real interpreter knows the names of most numbers itself."""
    if sys.implementation.name != "micropython":
        return _Fault(number, name)
    if name in str(OSError(number)) or number < 0:
        return OSError(number)
    return _named_fault(number, name)


class _Fault(OSError):
    # CPython makes a kind of its own of some numbers, which the board does not know.
    def __init__(self, number, name):
        OSError.__init__(self, number)
        self.errno, self.name = number, name

    def __new__(cls, number, name):
        return OSError.__new__(cls, number)


def _named_fault(number, name):
    # The network's numbers are the board's, not those of the computer that this runs on.
    class OSError(builtins.OSError):
        def __str__(self):
            return "[Errno %d] %s" % (number, name)

    return OSError(number)


if sys.implementation.name != "micropython":
    _Fault.__name__ = "OSError"


def sample(pin):
    """Give an analogue pin's count.

    Programs read their eyes one after the other, in every round alike.  So the
    pins that followed this one last time are asked for along with it: one
    exchange for all.  The host lets a sample ahead happen only when it is taken.
    """
    global _sampled
    before = _sampled
    if before is not None:
        _after[before] = (pin, _spent)
        if _ahead and _ahead[0][0] == pin and _ahead[0][2] == _spent:
            put("b")
            _sampled = pin
            return _ahead.pop(0)[1]
    pins, words, pauses = [pin], [str(pin)], [0]
    follower, pause = _after.get(pin, (None, 0))
    while follower is not None and follower not in pins and not armed:
        pins.append(follower)
        pauses.append(pause)
        words.append("%d+%d" % (follower, pause))
        follower, pause = _after.get(follower, (None, 0))
    counts = ask("A " + " ".join(words)).split(" ")
    for k in range(1, len(counts)):
        _ahead.append((pins[k], int(counts[k]), pauses[k]))
    _sampled = pin
    return int(counts[0])


def now_us():
    """Give the microseconds since power-up.

    A loop may look at the clock again and again and do nothing else.  Nothing can come in between
    then, so the host says how many looks are allowed without asking, and is told of them later.
    """
    global _now, _pace, _left, _looks, _seen
    if _left and not armed and not _soon:
        _left -= 1
        _looks += 1
        _now += _pace + _spent - _seen
        _seen = _spent
        return _now
    answer = [int(word) for word in ask("T").split(" ")]
    _now, _seen = answer[0], 0
    if len(answer) > 1:
        _pace, _left = answer[1:]
    return _now


def on_fault(fault):
    """Tell an exception as JSON; the boot file puts its own in this place."""
    return '{"kind": "%s", "message": "", "calls": []}' % type(fault).__name__


def live_on():
    """Let callbacks that are armed go on after the program's last line."""
    if _soon:
        _run_soon()
    while armed:
        ask("S 1000000")


def write(text):
    """Print a text on the console, in pieces that the link takes."""
    for start in range(0, len(text), 256):
        tell("t " + json.dumps(text[start : start + 256]))


def tell_last(message):
    """Send the last word."""
    put(message)
    flush()


def arm(source, number, handler):
    """From now on run a handler when the host hands over this callback."""
    global _patience
    _callbacks[(source, number)] = handler
    armed.add((source, number))
    _patience = 0


def disarm(source, number):
    global _patience
    _callbacks.pop((source, number), None)
    armed.discard((source, number))
    if not armed:
        _patience = 20000


def whole(value):
    # As on the board: a float or a text is no whole number.
    if not isinstance(value, int):
        raise TypeError("can't convert %s to int" % type(value).__name__)
    return int(value)


def buffer(value):
    """Give the bytes of something that holds bytes; as on the board a text does, too."""
    if isinstance(value, str):
        return value.encode()
    if isinstance(value, int):  # which bytes() would take for a length
        raise TypeError("object with buffer protocol required")
    try:
        return bytes(memoryview(value))
    except TypeError:
        pass
    raise TypeError("object with buffer protocol required")


def doze(duration):
    """Sleep for some microseconds, at most until a callback has run."""
    ask("H %d" % max(0, duration))


def hexed(value):
    """Give a text or bytes as one word of a message; the x keeps an empty one from vanishing."""
    data = value.encode() if isinstance(value, str) else value
    return "x" + "".join(["%02x" % byte for byte in data])


def unhexed(word):
    """Give the bytes that a word of an answer stands for."""
    return bytes([int(word[k : k + 2], 16) for k in range(0, len(word), 2)])


def sleep_us(duration):
    if duration < 0:
        duration = 0
    if armed:
        ask("S %d" % duration)
    else:
        tell("s %d" % duration)


def receive_program():
    """Read what the host sends first."""
    return _wire.receive()


def begin():
    """Let the host know that the program itself begins now."""
    _wire.begin()
