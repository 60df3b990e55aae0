"""`python3 checks`: what a teacher does with the lessons, from building them to the report.

It needs nothing but Python itself: started by one that lacks the kit's packages, it goes on in the
same environment as `python3 lessons`, which it makes where there is none yet.
"""

# An older Python must be able to read this file as far as the launcher's message.
import importlib.util
import runpy
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def move_in(arguments: list[str]) -> int:
    """Do what the command line asks for in the kit's own environment; give the exit code."""
    environment = runpy.run_path(str(ROOT / "lessons" / "__main__.py"))["environment"]
    kit = environment.Environment(ROOT)
    try:
        kit.ensure(["site"] if arguments[:1] == ["site"] else [])
        command = [str(kit.python), "-P", "-m", "checks", *arguments]
        return subprocess.call(command, env=kit.variables())
    except environment.SetupError as trouble:
        print(f"\n{trouble}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    if not __package__ or importlib.util.find_spec("nbgrader") is None:
        sys.exit(move_in(sys.argv[1:]))
    from checks.commands import main

    sys.exit(main())
