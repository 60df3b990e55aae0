# Timers.

import _link

_int = _link.whole


class Timer:
    """One of the board's four timers; its callback runs between the program's own steps."""

    ONE_SHOT = 0
    PERIODIC = 1

    def __init__(self, id, *, mode=PERIODIC, freq=-1, period=-1, callback=None):
        if not isinstance(id, int) or not 0 <= id <= 3:
            raise ValueError("invalid Timer number")
        self._id, self._ms, self._mode = id, 0, Timer.ONE_SHOT
        if callback is not None or period != -1 or freq != -1:
            self.init(mode=mode, freq=freq, period=period, callback=callback)

    def init(self, *, mode=PERIODIC, freq=-1, period=-1, callback=None):
        """Start: call callback(timer) every period (ms), or freq times a second."""
        us = int(1000000 / freq) if freq > 0 else _int(period) * 1000
        if us <= 0:
            raise ValueError("period must be positive")
        if callback is None:
            self.deinit()
            return
        one_shot = mode == Timer.ONE_SHOT

        def run():
            if one_shot:
                _link.disarm("timer", self._id)
            callback(self)

        if not callable(callback):
            raise TypeError("'%s' object isn't callable" % type(callback).__name__)
        self._ms, self._mode = us // 1000, mode
        _link.arm("timer", self._id, run)
        _link.ask("J %d %d %d" % (self._id, us, 0 if one_shot else 1))

    def deinit(self):
        """Stop."""
        _link.disarm("timer", self._id)
        _link.tell("j %d" % self._id)

    def __repr__(self):  # as in this family's source (read)
        mode = "ONE_SHOT" if self._mode == Timer.ONE_SHOT else "PERIODIC"
        return "Timer(%d, mode=%s, period=%d)" % (self._id, mode, self._ms)
