# Tasks on simulated time that take turns, each until it waits: the heart of asyncio.
#
# The same for both engines.  The real interpreter's own asyncio waits in `select.poll`, which is
# the host's real time, and the computer's asyncio keeps another order; so neither would give the
# same recording twice.  What the real one does is known by test: the same programs under it, with
# a clock of their own, wake their tasks in the same order.

from time import ticks_add, ticks_diff
from time import ticks_ms as ticks

import _link

ready = []  # tasks that are to run at a time, in the order of their times
flags = []  # flags that callbacks may set and a task waits for
handler = [None]  # what is called with an exception that no task asks for
_current = None


class CancelledError(BaseException):
    """What a task that is cancelled finds at the place where it waits."""


class TimeoutError(Exception):
    """What wait_for raises when the time is over."""


class Turn:
    """Gives the turn away once; whoever waits has made sure before that it is woken again."""

    def __init__(self):
        self._given = False

    def __iter__(self):
        return self

    __await__ = __iter__

    def __next__(self):
        if self._given:
            raise StopIteration
        self._given = True
        return None


class Sleep(Turn):
    """Gives the turn away until a time."""

    def __init__(self, ms):
        Turn.__init__(self)
        self._at = ticks_add(ticks(), max(0, ms))

    def __next__(self):
        if not self._given:
            wake_at(_current, self._at)
        return Turn.__next__(self)


class Task:
    """A coroutine that takes its turns; await it for what it returns."""

    def __init__(self, coro):
        self.coro = coro
        self._at = 0
        self._place = None  # the list in which it waits
        self._fault = None  # what it is to find when it next runs
        self._waiting = []  # tasks that wait for its end
        self._done = False
        self._value = None
        self._error = None
        self._heard = False  # somebody has asked for its end

    def done(self):
        """Tell whether it has ended."""
        return self._done

    def cancel(self):
        """Raise CancelledError in it, where it waits; tell whether it was still to be cancelled."""
        if self._done:
            return False
        if self is _current:
            raise RuntimeError("can't cancel self")
        _leave(self)
        self._fault = CancelledError()
        wake(self)
        return True

    def __iter__(self):
        return self

    __await__ = __iter__

    def __next__(self):
        if self._done:
            self._heard = True
            if self._error is not None:
                raise self._error
            raise StopIteration(self._value)
        wait_in(self._waiting)
        return None

    def __repr__(self):
        return "<Task>"


def wake_at(task, at):
    """Let a task run at a time, after those that are to run then already."""
    task._at = at
    place = len(ready)
    while place and ticks_diff(ready[place - 1]._at, at) > 0:
        place -= 1
    ready.insert(place, task)
    task._place = ready


def wake(task):
    wake_at(task, ticks())


def wake_all(place):
    while place:
        wake(place.pop(0))


def _leave(task):
    if task._place is not None and task in task._place:
        task._place.remove(task)
    task._place = None


def wait_in(place):
    place.append(_current)
    _current._place = place


def create_task(coro):
    """Let a coroutine take its turns beside the others, and give its task."""
    if not hasattr(coro, "send"):
        raise TypeError("coroutine expected")
    task = Task(coro)
    wake(task)
    return task


def as_task(awaitable):
    return awaitable if isinstance(awaitable, Task) else create_task(awaitable)


def sleep_ms(t):
    """Wait for some milliseconds, while others take their turns."""
    return Sleep(_link.whole(t))


def sleep(t):
    """Wait for some seconds, while others take their turns."""
    return Sleep(int(t * 1000))


def current_task():
    """Give the task that runs."""
    if _current is None:
        raise RuntimeError("no running event loop")
    return _current


def _step(task):
    """Let a task run until it waits or ends."""
    global _current
    _current = task
    try:
        fault, task._fault = task._fault, None
        if fault is None:
            task.coro.send(None)
        else:
            task.coro.throw(fault)
        return
    except StopIteration as end:
        task._value = end.value
    except (CancelledError, Exception) as fault:
        task._error = fault
    finally:
        _current = None
    task._done = True
    task._heard = task._heard or bool(task._waiting)
    wake_all(task._waiting)


def _wait_for_next():
    """Let time pass until a task may run."""
    while True:
        for flag in list(flags):
            if flag._set and flag._waiting:
                flags.remove(flag)
                wake_all(flag._waiting)
        ms = ticks_diff(ready[0]._at, ticks()) if ready else 1000
        if ms <= 0:
            return
        if flags:
            _link.doze(ms * 1000)
        else:
            _link.sleep_us(ms * 1000)


def run_until(main):
    while True:
        _wait_for_next()
        task = ready.pop(0)
        task._place = None
        if task._done:  # an exception that nobody has asked for since
            if not task._heard:
                _tell(task)
            continue
        _step(task)
        if not task._done:
            continue
        if task is main:
            if task._error is not None:
                raise task._error
            return task._value
        if isinstance(task._error, Exception) and not task._heard:
            wake(task)  # told a turn later, should nobody ask for it meanwhile


def _tell(task):
    context = {"message": "Task exception wasn't retrieved", "exception": task._error}
    context["future"] = task
    (handler[0] or tell)(None, context)


def tell(loop, context):
    """Tell an exception that no task asks for."""
    _link.write("%s\nfuture: %s\n" % (context["message"], context["future"]))
    _link.tell("w " + _link.on_fault(context["exception"]))
