# The board's asyncio, on simulated time: tasks that take turns, each until it waits.
#
# One file for both engines.  The real interpreter's own asyncio waits in `select.poll`, which is
# the host's real time, and the computer's asyncio keeps another order; so neither would give the
# same recording twice.  What the real one does is known by test: the same programs under it, with
# a clock of their own, wake their tasks in the same order.

import _link
from time import ticks_add, ticks_diff
from time import ticks_ms as ticks

_ready = []  # tasks that are to run at a time, in the order of their times
_flags = []  # flags that callbacks may set and a task waits for
_current = None


class CancelledError(BaseException):
    """What a task that is cancelled finds at the place where it waits."""


class TimeoutError(Exception):
    """What wait_for raises when the time is over."""


class _Turn:
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


class _Sleep(_Turn):
    """Gives the turn away until a time."""

    def __init__(self, ms):
        _Turn.__init__(self)
        self._at = ticks_add(ticks(), max(0, ms))

    def __next__(self):
        if not self._given:
            _wake_at(_current, self._at)
        return _Turn.__next__(self)


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
        _wake(self)
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
        _wait_in(self._waiting)
        return None

    def __repr__(self):
        return "<Task>"


def _wake_at(task, at):
    """Let a task run at a time, after those that are to run then already."""
    task._at = at
    place = len(_ready)
    while place and ticks_diff(_ready[place - 1]._at, at) > 0:
        place -= 1
    _ready.insert(place, task)
    task._place = _ready


def _wake(task):
    _wake_at(task, ticks())


def _wake_all(place):
    while place:
        _wake(place.pop(0))


def _leave(task):
    if task._place is not None and task in task._place:
        task._place.remove(task)
    task._place = None


def _wait_in(place):
    place.append(_current)
    _current._place = place


def create_task(coro):
    """Let a coroutine take its turns beside the others, and give its task."""
    if not hasattr(coro, "send"):
        raise TypeError("coroutine expected")
    task = Task(coro)
    _wake(task)
    return task


def _as_task(awaitable):
    return awaitable if isinstance(awaitable, Task) else create_task(awaitable)


def sleep_ms(t):
    """Wait for some milliseconds, while others take their turns."""
    return _Sleep(_link.whole(t))


def sleep(t):
    """Wait for some seconds, while others take their turns."""
    return _Sleep(int(t * 1000))


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
    _wake_all(task._waiting)


def _wait_for_next():
    """Let time pass until a task may run."""
    while True:
        for flag in list(_flags):
            if flag._set and flag._waiting:
                _flags.remove(flag)
                _wake_all(flag._waiting)
        ms = ticks_diff(_ready[0]._at, ticks()) if _ready else 1000
        if ms <= 0:
            return
        if _flags:
            _link.doze(ms * 1000)
        else:
            _link.sleep_us(ms * 1000)


def _run_until(main):
    while True:
        _wait_for_next()
        task = _ready.pop(0)
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
            _wake(task)  # told a turn later, should nobody ask for it meanwhile


def _tell(task):
    context = {"message": "Task exception wasn't retrieved", "exception": task._error}
    context["future"] = task
    Loop.call_exception_handler(context)


def run(coro):
    """Run a coroutine, and all that it begins, until it ends; give what it returns."""
    return _run_until(_as_task(coro))


async def wait_for_ms(aw, timeout):
    """Wait for something for so many milliseconds; then cancel it and raise TimeoutError."""
    task = _as_task(aw)
    if timeout is None:
        return await task
    me = current_task()
    if not task._done:
        try:
            await _any_of([task], me, ticks_add(ticks(), timeout))
        except CancelledError:
            task.cancel()
            raise
    if not task._done:
        task.cancel()
        await _any_of([task], me)  # it may have to tidy up
        raise TimeoutError
    return await task


def wait_for(aw, timeout):
    """Wait for something for so many seconds; then cancel it and raise TimeoutError."""
    return wait_for_ms(aw, None if timeout is None else int(timeout * 1000))


async def gather(*aws, return_exceptions=False):
    """Wait for all of some things, and give a list of what they return."""
    tasks = [_as_task(aw) for aw in aws]
    me = current_task()
    try:
        while True:
            for task in tasks:
                task._heard = task._heard or task._done
            pending = [task for task in tasks if not task._done]
            failed = [task._error for task in tasks if task._error is not None]
            if failed and not return_exceptions:
                raise failed[0]
            if not pending:
                break
            await _any_of(pending, me)
    except CancelledError:
        for task in tasks:
            task.cancel()
        raise
    return [task._value if task._error is None else task._error for task in tasks]


async def _any_of(tasks, me, at=None):
    """Wait until one of some tasks has ended, or until a time."""
    for task in tasks:
        task._waiting.append(me)
    if at is not None:
        _wake_at(me, at)
    try:
        await _Turn()
    finally:
        # Woken by one of them, it must not wait for the others any longer.
        for place in [task._waiting for task in tasks] + [_ready]:
            while me in place:
                place.remove(me)


class Event:
    """Something that happens once, until it is cleared; tasks wait for it."""

    def __init__(self):
        self._set = False
        self._waiting = []

    def is_set(self):
        """Tell whether it has happened."""
        return self._set

    def set(self):
        """Say that it has happened, and wake who waits for it."""
        _wake_all(self._waiting)
        self._set = True

    def clear(self):
        """Say that it has not happened."""
        self._set = False

    async def wait(self):
        """Wait until it has happened."""
        if not self._set:
            _wait_in(self._waiting)
            await _Turn()
        return True


class ThreadSafeFlag:
    """What a callback may set and one task waits for; waiting clears it."""

    def __init__(self):
        self._set = False
        self._waiting = []

    def set(self):
        """Wake the task that waits, now or when it comes to wait."""
        self._set = True

    def clear(self):
        """Forget that it was set."""
        self._set = False

    async def wait(self):
        """Wait until it is set."""
        if not self._set:
            _wait_in(self._waiting)
            if self not in _flags:
                _flags.append(self)
            await _Turn()
        self._set = False


class Lock:
    """What only one task at a time has: `async with lock:`."""

    def __init__(self):
        self._owner = None
        self._waiting = []

    def locked(self):
        """Tell whether a task has it."""
        return self._owner is not None

    def release(self):
        """Give it to the task that waits longest."""
        if self._owner is None:
            raise RuntimeError("Lock not acquired")
        self._owner = None
        if self._waiting:
            self._owner = self._waiting.pop(0)
            _wake(self._owner)

    async def acquire(self):
        """Wait for it, and have it."""
        if self._owner is None:
            self._owner = _current
            return True
        me = _current
        _wait_in(self._waiting)
        try:
            await _Turn()
        except CancelledError:
            if self._owner is me:  # it was given in the same moment
                self.release()
            raise
        return True

    async def __aenter__(self):
        return await self.acquire()

    async def __aexit__(self, *fault):
        return self.release()


class Loop:
    """The tasks' order, as an object; asyncio.run() needs none of it."""

    _handler = None
    _stop = []

    def create_task(coro):
        """Let a coroutine take its turns beside the others."""
        return create_task(coro)

    def run_until_complete(aw):
        """Run until something has ended; give what it returns."""
        return _run_until(_as_task(aw))

    def run_forever():
        """Run until stop() is called."""
        event = Event()
        Loop._stop.append(event)
        _run_until(create_task(event.wait()))

    def stop():
        """End run_forever()."""
        while Loop._stop:
            Loop._stop.pop().set()

    def close():
        """Do nothing: there is nothing to close."""

    def set_exception_handler(handler):
        """Choose what is called with an exception that no task asks for."""
        Loop._handler = handler

    def get_exception_handler():
        """Give what set_exception_handler() chose."""
        return Loop._handler

    def default_exception_handler(loop, context):
        """Tell an exception that no task asks for."""
        _link.write("%s\nfuture: %s\n" % (context["message"], context["future"]))
        _link.tell("w " + _link.on_fault(context["exception"]))

    def call_exception_handler(context):
        """Do with an exception what has been chosen."""
        (Loop._handler or Loop.default_exception_handler)(Loop, context)


def get_event_loop():
    """Give the loop."""
    return Loop


def new_event_loop():
    """Forget all tasks, and give the loop."""
    del _ready[:]
    del _flags[:]
    return Loop
