"""Slips of `harbour.run`."""

from tests.checks.harbour_slips import AT_BAR, BRAKE, REPORTS, early, radio, way
from tests.checks.slips import Slip, chained, drop, put, where

DOCKS, WINDS, SAFE, QUICK = (
    "The float ends in the dock", "It winds up on the far side", "It waits, and ends safely",
    "It is quick",
)  # fmt: skip
SIDE = "winds up on the float's side"
SWING = r"\(\(far, 1000\), \(near, 500\), \(1500, 400\)\)"
STEPS = """\\1arm(far)
\\1time.sleep_ms(1000)
\\1for k in range(46):
\\1    arm(far + (near - far) * k // 45)
\\1    time.sleep_ms(20)
\\1arm(1500)
\\1time.sleep_ms(400)"""
SLIPS = (
    *radio(DOCKS, SAFE),
    *way(DOCKS),
    Slip("always winds up to starboard", SIDE, (WINDS,), put(r"knock\(side > 0\)", "knock(True)"),
         put(r"1000 if to_port > 0 else 2000", "1000"), put(r"us if side > 0 else 3000 - us", "us")),
    Slip("confuses the sides", SIDE, (WINDS,), put(r"knock\(side > 0\)", "knock(side < 0)"),
         put(r"1000 if to_port > 0 else 2000", "2000 if to_port > 0 else 1000"),
         put(r"us if side > 0 else 3000 - us", "us if side < 0 else 3000 - us")),
    Slip("has its arm out on the way", "the arm strikes before the tug stands", (DOCKS,),
         where(r"import arm\b", early("arm(2000)"))),
    Slip("crawls", "slow on the line", (QUICK,), put(r"^EFFORT = .*$", "EFFORT = 0.33")),
    Slip("cuts the strike short", "the swing is too small", (DOCKS,),
         put(SWING, "((far, 1000), (near, 40), (1500, 400))")),
    Slip("swings too little", "the swing is too small", (DOCKS,),
         put(r"\(1000, 2000\) if to_port else \(2000, 1000\)",
             "(1400, 1600) if to_port else (1600, 1400)"),
         put(r"1000 if to_port > 0 else 2000", "1400 if to_port > 0 else 1600")),
    Slip("does not wait on the far side", "the swing does not wait", (WINDS,),
         put(r"\((far|away), (?:1000|900)\)", r"(\1, 60)")),
    Slip("strikes in small steps", "the swing is too slow", (DOCKS,),
         put(rf"^( +)for us, ms in {SWING}:\n.*\n.*$", STEPS)),
    Slip("leaves the arm out", "the arm is left out", (SAFE, REPORTS),
         put(r", \(1500, (?:400|500|250)\)\)", ")")),
    Slip("does not wait until the arm is back", "told done before it was there", (REPORTS,),
         put(r"\(1500, (?:400|500|250)\)", "(1500, 20)")),
    Slip("says done before it strikes", "told done before it was there", (REPORTS,),
         put(r'^( +)(knock\(.*\))\n( +report\("done".*\))', r"\3\n\1\2")),
    Slip("does not strike", "the arm is not swung", (DOCKS,), drop(r"(?<!def )\bknock\(")),
    Slip("gives its pulses as a duty", "the arm is on its stop", (DOCKS, SAFE),
         chained(put(r"^from tug import", "import tug\nfrom tug import"),
                 put(r"^( +)arm\(us\)$", r"\1tug._arm.duty_u16(us)")),
         put(r"ARM\.duty_ns\(1000 \* us\)", "ARM.duty_u16(us)")),
    Slip("brakes late", "the arm misses the float", (DOCKS,),
         put(BRAKE, r"\1time.sleep_ms(120)\n\1drive(0, 0)\n\2time.sleep_ms(300)\n")),
    Slip("leaves the motors on", "motors left on", (SAFE,),
         put(r"^( +)stop\(\)\n( +knock)", r"\1drive(0.12, 0.12)\n\2"),
         put(r"(def arrive\(self\):\n +)self\.left\.off\(\)\n +self\.right\.off\(\)",
             r"\1self.go(0.12, 0.12)")),
    Slip("leaves the motors braked", "motors braked at the end, not off", (AT_BAR, SAFE),
         put(BRAKE + r" +stop\(\)\n", r"\1drive(0, 0)\n\2time.sleep_ms(300)\n")),
)  # fmt: skip
