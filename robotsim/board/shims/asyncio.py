# The board's asyncio: what a program finds around its tasks, which are in _tasks.py.

from time import ticks_add, ticks_diff  # noqa: F401
from time import ticks_ms as ticks

import _tasks
from _tasks import (  # noqa: F401
    CancelledError,
    Task,
    TimeoutError,
    create_task,
    current_task,
    sleep,
    sleep_ms,
)


def run(coro):
    """Run a coroutine, and all that it begins, until it ends; give what it returns."""
    return _tasks.run_until(_tasks.as_task(coro))


async def wait_for_ms(aw, timeout):
    """Wait for something for so many milliseconds; then cancel it and raise TimeoutError."""
    task = _tasks.as_task(aw)
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
    tasks = [_tasks.as_task(aw) for aw in aws]
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
        _tasks.wake_at(me, at)
    try:
        await _tasks.Turn()
    finally:
        # Woken by one of them, it must not wait for the others any longer.
        for place in [task._waiting for task in tasks] + [_tasks.ready]:
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
        _tasks.wake_all(self._waiting)
        self._set = True

    def clear(self):
        """Say that it has not happened."""
        self._set = False

    async def wait(self):
        """Wait until it has happened."""
        if not self._set:
            _tasks.wait_in(self._waiting)
            await _tasks.Turn()
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
            _tasks.wait_in(self._waiting)
            if self not in _tasks.flags:
                _tasks.flags.append(self)
            await _tasks.Turn()
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
            _tasks.wake(self._owner)

    async def acquire(self):
        """Wait for it, and have it."""
        if self._owner is None:
            self._owner = current_task()
            return True
        me = current_task()
        _tasks.wait_in(self._waiting)
        try:
            await _tasks.Turn()
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

    _stop = []

    def create_task(coro):
        """Let a coroutine take its turns beside the others."""
        return create_task(coro)

    def run_until_complete(aw):
        """Run until something has ended; give what it returns."""
        return _tasks.run_until(_tasks.as_task(aw))

    def run_forever():
        """Run until stop() is called."""
        event = Event()
        Loop._stop.append(event)
        _tasks.run_until(create_task(event.wait()))

    def stop():
        """End run_forever()."""
        while Loop._stop:
            Loop._stop.pop().set()

    def close():
        """Do nothing: there is nothing to close."""

    def set_exception_handler(handler):
        """Choose what is called with an exception that no task asks for."""
        _tasks.handler[0] = handler

    def get_exception_handler():
        """Give what set_exception_handler() chose."""
        return _tasks.handler[0]

    def default_exception_handler(loop, context):
        """Tell an exception that no task asks for."""
        _tasks.tell(loop, context)

    def call_exception_handler(context):
        """Do with an exception what has been chosen."""
        (_tasks.handler[0] or _tasks.tell)(Loop, context)


def get_event_loop():
    """Give the loop."""
    return Loop


def new_event_loop():
    """Forget all tasks, and give the loop."""
    del _tasks.ready[:]
    del _tasks.flags[:]
    return Loop
