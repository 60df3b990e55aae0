"""Worker: runs checks in a process of their own; `python -m checks.marking.worker`.

One request a line comes in, one result a line goes out, as JSON (see `client`).  It imports the
checks and nothing of nbgrader, so that it starts quickly.
"""

from __future__ import annotations

import json
import os
import sys

__all__ = ["main"]


def main() -> int:
    """Answer requests until there are no more."""
    # Whatever else prints must not be taken for a result.
    with os.fdopen(os.dup(1), "w", encoding="utf-8") as answers:
        os.dup2(2, 1)
        from checks import check

        for line in sys.stdin:
            task, files = json.loads(line)
            card = check(task, files=json.loads(files))
            answers.write(json.dumps([repr(card), card._repr_html_()]) + "\n")
            answers.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
