"""Slips of `harbour.leg`."""

from tests.checks.harbour_slips import (
    AT_BAR, BRAKE, DONE, REPORTS, STOPPED, early, orders, radio, way,
)
from tests.checks.slips import Slip, chained, put, where

FOLLOWS, WAITS, REFUSES = (
    "It follows the line to the bar", "It waits, and it stops when told to", "It refuses bad orders",
)  # fmt: skip
TOO_SOON = "told done before it was there"
SLIPS = (
    *radio(FOLLOWS, WAITS),
    *orders(WAITS, REFUSES),
    *way(FOLLOWS),
    Slip("calibrates at once", "does not wait for the order", (WAITS,), where(r"import .*\bcalibrate\b|^def calibrate", early("calibrate()\nstop()"))),
    Slip("follows without hearing", "deaf on the way", (WAITS,),
         put(r"^            await asyncio\.sleep_ms\(20\)$", "            time.sleep_ms(20)")),
    Slip("says done at the mark", TOO_SOON, (REPORTS,),
         chained(put(DONE, ""), put(r"^( +)strokes \+= 1$",
                 r'\1strokes += 1\n\1if strokes == 1:\n\1    report("done", number)'))),
    Slip("says done at the start", TOO_SOON, (REPORTS,),
         chained(put(DONE, ""), put(r'^( +)report\("started", (number=)?number\)$',
                 r'\1report("started", \2number)\n\1report("done", \2number)'))),
    Slip("says done while it rolls", TOO_SOON, (REPORTS,),
         put(BRAKE + r"( +)stop\(\)\n( +report\(.*\n)", r"\4\1drive(0, 0)\n\2time.sleep_ms(300)\n\3stop()\n")),
    Slip("keeps the first number", "the wrong number", (REPORTS,),
         where(r"^\w+, number, ", put(r'^( +)number = order\.get\("number"(?:, 0)?\)$',
                                     r'\1number = number or order.get("number")'))),
    Slip("never looks at the clock", "goes on when its time is over", (WAITS,),
         put(r"elif time\.ticks_diff\(until, time\.ticks_ms\(\)\) <= 0:", "elif False:")),
    Slip("takes seconds for thousandths", "the order ends too soon", (FOLLOWS,),
         put(r'int\(1000 \* order\["seconds"\]\)', 'int(order["seconds"])')),
    Slip("leaves the motors on", "motors left on", (AT_BAR,),
         put(BRAKE + r'( +)stop\(\)\n( +report\("done")', r"\1drive(0.3, 0.3)\n\4"),
         chained(put(r" +self\.go\(0, 0\)\n +time\.sleep_ms\(250\)\n( +self\.arrive)", r"\1"),
                 put(r"(def arrive\(self\):\n +)self\.left\.off\(\)\n +self\.right\.off\(\)",
                     r"\1self.go(0.3, 0.3)"))),
    Slip("leaves the motors braked", "motors braked at the end, not off", (AT_BAR,),
         put(BRAKE + r" +stop\(\)\n", r"\1drive(0, 0)\n\2time.sleep_ms(300)\n")),
    Slip("is done after a stop", "does not carry out the next order", (FOLLOWS,),
         put(STOPPED, r'\1state = "docked"'),
         put(r"(did=\"stopped\".*\n +)self\.state = self\.waiting", r"\1self.state = self.resting")),
    Slip("has no gain", "loses the line", (FOLLOWS,), put(r"^K([PD]) = .*$", r"K\1 = 0.0")),
    Slip("takes long rounds", "loop too slow", (FOLLOWS,),
         put(r"^( +drive\(EFFORT - steer, EFFORT \+ steer\)\n) +time\.sleep_ms\(20\)$",
             r"\1    time.sleep_ms(250)")),
    Slip("brakes late", "stops too late at the bar", (AT_BAR,),
         put(BRAKE, r"\1time.sleep_ms(150)\n\1drive(0, 0)\n\2time.sleep_ms(300)\n")),
    Slip("drives too slowly", "no time left", (FOLLOWS, REPORTS), put(r"^EFFORT = .*$", "EFFORT = 0.24")),
)  # fmt: skip
