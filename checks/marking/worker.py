"""Worker: reads notebooks and runs checks in a process of its own, away from everything.

`python -m checks.marking.worker FOLDER` works in an empty folder, which is all that it may write
to; it never sees a course.  It imports the checks and nothing of nbgrader, so that it starts
quickly, and confines itself and the boards that it starts (see `robotsim.board.confine`).
Orders come in and results go out as `frames` of a head in JSON and of bytes.
"""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path
from typing import Any

from robotsim import KitError
from robotsim.notebook import OWN_SERIAL

from .frames import Frame, read_frame, write_frame

__all__ = ["main"]

_ROOT = Path(__file__).resolve().parent.parent.parent
_MEMORY = 3 * 1024**3


def main() -> int:
    """Obey orders until there are no more."""
    folder = Path(sys.argv[1]).resolve()
    os.environ["TMPDIR"] = os.environ["TEMP"] = os.environ["TMP"] = str(folder)
    # Whatever else prints must not be taken for a result.
    with os.fdopen(os.dup(1), "wb") as answers, os.fdopen(os.dup(0), "rb") as orders:
        os.dup2(2, 1)
        from checks import check  # noqa: F401  (before the doors close, so that all is loaded)

        os.chdir(folder)
        protections = _confine(folder)
        write_frame(answers, {"protections": protections})
        while (frame := read_frame(orders)) is not None:
            write_frame(answers, *_obey(frame))
    return 0


def _confine(folder: Path) -> list[tuple[str, bool, str]]:
    from robotsim.board.confine import confine_boards

    read = [_ROOT / "robotsim", _ROOT / "checks"]
    found = [(p.name, p.on, p.by) for p in confine_boards(folder, read)]
    if os.name == "posix":
        import resource

        try:
            resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
        except (ValueError, OSError):  # this system has the limit and does not heed it
            pass
    return found


def _obey(frame: Frame) -> tuple[dict[str, Any], list[bytes]]:
    """Do one order; what goes wrong in it is told and not raised."""
    head, parts = frame
    began = time.perf_counter()
    try:
        answer, back = _ORDERS[head["do"]](head, parts)
    except KitError as fault:
        return {"fault": [fault.what, fault.where, fault.hint]}, []
    except MemoryError:
        return {"fault": ["It took more memory than there is for it.", "", "look into the file."],
                "worn": True}, []  # fmt: skip
    except Exception as fault:
        words = f"{type(fault).__name__}: {fault}"[:500]
        return {"fault": [f"The check itself went wrong: {words}", "",
                          "tell whoever looks after the kit."]}, []  # fmt: skip
    answer["real_s"] = round(time.perf_counter() - began, 3)
    return answer, back


def _read(head: dict[str, Any], parts: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
    from .straighten import straighten

    done = straighten(parts[0], parts[1], head["lesson"])
    plain = json.dumps(done.notebook, ensure_ascii=True).encode("ascii")
    return {"notes": done.notes, "seen": done.seen}, [plain]


def _check(head: dict[str, Any], parts: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
    from checks import check

    # Said outright: a card with another number, left in the folder above, is not heeded.
    serial = OWN_SERIAL if head["serial"] is None else head["serial"]
    card = check(head["task"], files=json.loads(parts[0]), serial=serial, variant=head["variant"])
    rows = [
        {
            "title": row.criterion.title, "points": row.points, "most": row.criterion.points,
            "measured": row.finding.measured, "asked": row.finding.asked,
            "at": row.finding.at, "trial": row.finding.trial,
        }
        for row in card.rows
    ]  # fmt: skip
    cause = card.cause
    problem = next((r.problem for r in card.recordings if r.problem is not None), None)
    return {
        "task": card.task.id, "title": card.task.title, "points": repr(card),
        "most": card.max_points, "card": card._repr_html_(), "rows": rows,
        "cause": [cause.name, cause.evidence, cause.hint] if cause and not card.full else None,
        "problem": str(problem) if problem else None,
        "trials": [[r.table, r.serial, r.seed, r.seconds, r.ended] for r in card.recordings],
    }, [recording.to_bytes() for recording in card.recordings]  # fmt: skip


def _draw(head: dict[str, Any], parts: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
    """Draw a recording as the learner saw one drawn."""
    from checks import TASKS
    from robotsim import Recording
    from robotsim.show import bundle, figure
    from robotsim.table import make_table

    recording = Recording.from_bytes(parts[0])
    table = make_table(recording.table, recording.seed)
    drawn = figure(recording, table=table, targets=TASKS[head["task"]].targets)
    return {}, [bundle(drawn)["text/html"].encode("utf-8")]


_ORDERS = {"read": _read, "check": _check, "draw": _draw}


if __name__ == "__main__":
    sys.exit(main())
