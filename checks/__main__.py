"""`python3 checks`: what a teacher does with the lessons, from building them to the report.

It needs nothing but Python itself: started by one that lacks the kit's packages, it goes on in the
same environment as `python3 lessons`, which it makes where there is none yet.
"""

# An older Python must be able to read this file as far as the launcher's message.
import importlib.util
import runpy
import sys
from pathlib import Path

LAUNCHER = Path(__file__).resolve().parent.parent / "lessons" / "__main__.py"

if __name__ == "__main__":
    if not __package__ or importlib.util.find_spec("nbgrader") is None:
        extras = ["site"] if sys.argv[1:2] == ["site"] else []
        sys.exit(runpy.run_path(str(LAUNCHER))["move_in"]("checks", sys.argv[1:], extras))
    from checks.commands import main

    sys.exit(main())
