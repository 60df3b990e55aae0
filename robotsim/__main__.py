"""`python3 robotsim ready main.py`, `python3 robotsim plug` ...: what a terminal offers.

It needs nothing but Python itself: started by one that lacks the kit's packages, it goes on in the
same environment as `python3 lessons`, which it makes where there is none yet.
"""

# An older Python must be able to read this file as far as the launcher's message.
import importlib.util
import os
import runpy
import sys
from pathlib import Path

LAUNCHER = Path(__file__).resolve().parent.parent / "lessons" / "__main__.py"
NEEDED = ("jupyter_core", "mpremote", "serial")

if __name__ == "__main__":
    if not __package__ or any(importlib.util.find_spec(name) is None for name in NEEDED):
        sys.exit(runpy.run_path(str(LAUNCHER))["move_in"]("robotsim", sys.argv[1:]))
    if not sys.flags.safe_path and sys.path[0] == os.getcwd():
        del sys.path[0]  # a board's own secrets.py may lie there: it is not Python's
    from robotsim.commands import main

    sys.exit(main())
