"""Slips of `harbour.ready`."""

from tests.checks.harbour_slips import REPORTS, STOPPED, early, orders, radio
from tests.checks.slips import Slip, chained, drop, exact, put

GOES, WAITS, REFUSES = (
    "It sets off on an order", "It waits for its orders", "It refuses bad orders",
)  # fmt: skip
DONE = r'^ +report\("done", (?:number=)?number\)\n'
STARTED = r'^( +)report\("started", (number=)?number\)$'
SLIPS = (
    *radio(GOES, WAITS),
    *orders(WAITS, REFUSES),
    Slip("starts at once", "does not wait for the order", (WAITS,),
         early("drive(0.4, 0.4)\ntime.sleep_ms(400)\nstop()")),
    Slip("reports a start at once", "reported before it was ordered", (REPORTS,),
         early('report("started", 31)')),
    Slip("says done at the start", "the order ends too soon", (REPORTS,),
         chained(put(DONE, ""),
                 put(STARTED, r'\1report("started", \2number)\n\1report("done", \2number)'))),
    Slip("lets the clock run on", "a stopped order is reported done", (REPORTS,),
         put(STOPPED + r'\n    elif order and state == "waiting":', r"\1pass\n    elif order:")),
    Slip("does not stop when the time is over", "goes on when its time is over", (WAITS,),
         put(r'^ +stop\(\)\n( +report\("done")', r"\1"),
         put(r'self\.halt\(\)\n( +self\.office\.tell\(did="done")', r"pass\n\1")),
    Slip("has seconds of its own", "goes on when its time is over", (WAITS,),
         put(r'int\(1000 \* order\["seconds"\]\)', "2000")),
    Slip("never drives", "orders to go are not carried out", (GOES,),
         drop(r"\bdrive\(0\.5, 0\.5\)|effort\(0\.45\)")),
    Slip("goes astern", "not straight ahead", (GOES,), put(r"drive\(0\.5, 0\.5\)", "drive(-0.5, -0.5)"),
         put(r"effort\(0\.45\)", "effort(-0.45)")),
    Slip("turns on the spot", "not straight ahead", (GOES,),
         put(r"drive\(0\.5, 0\.5\)", "drive(-0.5, 0.5)"), put(r"left\.effort\(0\.45", "left.effort(-0.45")),
    Slip("stays driving at the end", "does not carry out the next order", (GOES,),
         exact(('report("done", number=number)\n        state = "waiting"',
                'report("done", number=number)'))),
    Slip("sleeps while it drives", "deaf on the way", (WAITS,),
         put(r'^( +)state = "driving"$', r'\1time.sleep(order["seconds"])\n\1state = "driving"')),
    Slip("looks rarely", "", (GOES,), put(r"^    time\.sleep_ms\(20\)$", "    time.sleep_ms(1500)")),
    Slip("ends after a stop", "does not go on listening", (GOES, REPORTS), put(STOPPED, r"\1break")),
    Slip("always gives the same number", "the wrong number", (REPORTS,),
         put(r'^( +)number = order\.get\("number"\)$', r"\1number = 1"),
         put(r'self\.number = order\.get\("number"\)', "self.number = 1")),
    Slip("gives the number as a text", "a report by other rules", (REPORTS,),
         put(r'report\("(started|done)", (number=)?number\)', r'report("\1", \2str(number))'),
         put(r"number=self\.number", "number=str(self.number)")),
)  # fmt: skip
