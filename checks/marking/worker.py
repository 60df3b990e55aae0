"""Worker: reads notebooks and runs checks in a process of its own, away from everything.

`python -m checks.marking.worker FOLDER` works in an empty folder, which is all that it may write
to; it never sees a course.  It imports the checks and nothing of nbgrader, so that it starts
quickly, and confines itself and the boards that it starts (see `robotsim.board.confine`); where
it cannot it obeys no order, unless `--programs-may-reach-this-computer` says that it may.
Orders come in and results go out as `frames` of a head in JSON and of bytes.  It ends with whoever
started it, in the middle of an order too.
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import queue
import signal
import sys
import threading
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from robotsim import KitError, core
from robotsim.notebook import OWN_SERIAL, program_cell

from .frames import Frame, read_frame, write_frame

if TYPE_CHECKING:
    from checks.scorecard import Scorecard
    from robotsim import Recording
    from robotsim.show.stage import Stage

__all__ = ["main"]

_ROOT = Path(__file__).resolve().parent.parent.parent
_MEMORY = 3 * 1024**3


def main() -> int:
    """Obey orders until there are no more."""
    given = _arguments()
    folder = given.folder.resolve()
    os.environ["TMPDIR"] = os.environ["TEMP"] = os.environ["TMP"] = str(folder)
    # Whatever else prints must not be taken for a result.
    with os.fdopen(os.dup(1), "wb") as answers, os.fdopen(os.dup(0), "rb") as orders:
        os.dup2(2, 1)
        from checks import check  # noqa: F401  (before the doors close, so that all is loaded)

        _settle()
        os.chdir(folder)
        hello = _confine(folder, given)
        write_frame(answers, hello)
        waiting: queue.Queue[Frame | None] = queue.Queue()
        threading.Thread(target=_listen, args=(orders, waiting), daemon=True).start()
        while "fault" not in hello and (frame := waiting.get()) is not None:
            write_frame(answers, *_obey(frame))
    return 0


def _settle() -> None:
    """Let what is loaded by now be looked through for garbage no more: it stays."""
    gc.collect()
    gc.freeze()


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m checks.marking.worker", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--programs-may-reach-this-computer", action="store_true")
    parser.add_argument("--without", nargs="*", default=(), help="layers to leave out")
    return parser.parse_args()


def _listen(orders: IO[bytes], waiting: queue.Queue[Frame | None]) -> None:
    """Take orders in; when nobody can give any more, end at once, whatever is under way.

    Whoever gave them may have been killed.  The boards end with this process.
    """
    while (frame := read_frame(orders)) is not None:
        waiting.put(frame)
    if os.name == "posix" and os.getpgid(0) == os.getpid():
        os.killpg(0, signal.SIGKILL)
    os._exit(0)


def _confine(folder: Path, given: argparse.Namespace) -> dict[str, Any]:
    """Confine this process and its boards: what is on, and why nothing can be run without more."""
    from robotsim.board import confine
    from robotsim.board.nursery import keep_nursery

    if given.programs_may_reach_this_computer:
        confine.let_programs_reach_this_computer()
    own = [_ROOT / "robotsim", _ROOT / "checks", core.place]
    confine.confine_process(folder, own, given.without)
    keep_nursery()
    hello: dict[str, Any] = {
        "protections": [(p.name, p.on, p.by) for p in confine.protections()],
    }
    fault = None if given.programs_may_reach_this_computer else confine.refusal()
    if fault is not None:
        hello["fault"] = [fault.what, fault.where, fault.hint]
    if os.name == "posix":
        import resource

        try:
            resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
        except (ValueError, OSError):  # this system has the limit and does not heed it
            pass
    return hello


def _obey(frame: Frame) -> tuple[dict[str, Any], list[bytes]]:
    """Do one order; what goes wrong in it is told and not raised."""
    head, parts = frame
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
    return answer, back


def _read(head: dict[str, Any], parts: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
    from .repair import repair

    done = repair(parts[0], parts[1], head["lesson"])
    plain = json.dumps(done.notebook, ensure_ascii=True).encode("ascii")
    return {"notes": done.notes, "seen": done.seen, "tug": done.tug}, [plain]


def _check(head: dict[str, Any], parts: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
    from checks import check

    # Said outright: a card with another number, left in the folder above, is not heeded.
    serial = OWN_SERIAL if head["serial"] is None else head["serial"]
    card = check(head["task"], files=json.loads(parts[0]), serial=serial, variant=head["variant"])
    rows = [
        {
            "title": row.criterion.title, "points": row.points, "most": row.criterion.points,
            "measured": row.finding.measured, "asked": row.asked,
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
    }, _packed(card)  # fmt: skip


_checked: dict[bytes, Recording] = {}
"""What the last check gave away, by its bytes: it need not be read anew to be drawn."""


def _packed(card: Scorecard) -> list[bytes]:
    """Give the recordings as bytes where points were lost: nobody looks at others again."""
    packed = [] if card.full else [one.to_bytes() for one in card.recordings]
    _checked.clear()
    _checked.update(zip(packed, card.recordings, strict=False))
    return packed


def _harbour(head: dict[str, Any], parts: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
    """Let the program of a notebook make its harbour runs, and tell how they went."""
    from checks import check
    from checks.tasks.harbour import Voyages

    serial = OWN_SERIAL if head["serial"] is None else head["serial"]
    files = _programs(parts[0])
    card = check("harbour.run", files=files, serial=serial, variant=head["variant"])
    found = Voyages(card.recordings).trials
    times = [run.seconds for run in found if run.docked and run.seconds is not None]
    asides = [run.aside for run in found if run.aside is not None]
    return {
        "serial": serial, "points": card.points, "docked": sum(run.docked for run in found),
        "runs": len(found), "seconds": sum(times) / len(times) if times else None,
        "aside_mm": 1000 * sum(asides) / len(asides) if asides else None,
    }, []  # fmt: skip


def _programs(data: bytes) -> dict[str, str]:
    """Give the programs of a notebook, name to text; of two of one name the later.

    Raises:
        KitError: It is no notebook.
    """
    try:
        cells = [cell for cell in json.loads(data)["cells"] if cell["cell_type"] == "code"]
        texts = ["".join(cell["source"]) for cell in cells]
    except (ValueError, KeyError, TypeError, RecursionError) as fault:
        told = f"{type(fault).__name__}: {fault}"[:200]
        raise KitError(f"This is no notebook ({told}).", hint="ask for it once more.") from fault
    return dict(filter(None, map(program_cell, texts)))


_stages: list[Stage] = []
"""What pictures are drawn on, one after the other."""


def _draw(head: dict[str, Any], parts: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
    """Draw a recording as the learner saw one drawn."""
    from checks import TASKS
    from robotsim import Recording
    from robotsim.show import bundle, figure
    from robotsim.show.stage import on_stage
    from robotsim.table import make_table

    if not _stages:
        _settle()
    recording = _checked.get(parts[0]) or Recording.from_bytes(parts[0])
    table = make_table(recording.table, recording.seed)
    with on_stage(_stages):
        drawn = figure(recording, table=table, targets=TASKS[head["task"]].targets)
        return {}, [bundle(drawn)["text/html"].encode("utf-8")]


_ORDERS = {"read": _read, "check": _check, "draw": _draw, "harbour": _harbour}


if __name__ == "__main__":
    sys.exit(main())
