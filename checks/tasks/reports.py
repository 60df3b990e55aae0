"""Reports by radio: what is wrong with what a tug tells the office, whatever the task."""

from __future__ import annotations

from ..task import Clues
from ..words import counted
from .orders import ByRadio

__all__ = [
    "at_most_once",
    "by_other_rules",
    "no_json",
    "no_reason",
    "no_report",
    "not_announced",
    "refusals_kept_quiet",
]


def no_report(seen: ByRadio) -> Clues:
    """Tell of a tug from which nothing came under its log topic."""
    for trial in seen.trials:
        if trial.reports:
            continue
        for event in trial.recording.of("message"):
            if event.stage == "said":
                yield f"it published under {event.topic!r}; reports go under {trial.log!r}"
        if trial.took:
            yield "nothing was published"


def no_json(seen: ByRadio) -> Clues:
    """Tell of something under the log topic that is no JSON."""
    yield from _no_report_but(seen, json_too=False)


def by_other_rules(seen: ByRadio) -> Clues:
    """Tell of something under the log topic that is JSON, and no report."""
    yield from _no_report_but(seen, json_too=True)


def _no_report_but(seen: ByRadio, json_too: bool) -> Clues:
    for trial in seen.trials:
        for one in trial.reports:
            if one.report is None and json_too != ("not JSON" in one.why):
                text = one.payload.decode("utf-8", "replace")[:50]
                yield f"{text!r} at {one.at:.1f} s is no report: {one.why}"


def refusals_kept_quiet(seen: ByRadio) -> Clues:
    """Tell of bad orders that came, with nothing told of any."""
    for trial in seen.trials:
        bad = sum(heard.came for heard in trial.bad)
        if bad and trial.did("done") and not trial.did("refused"):
            yield f"{counted(bad, 'bad order')} came, and none was reported"


def no_reason(seen: ByRadio) -> Clues:
    """Tell of a refusal that does not say why."""
    for trial in seen.trials:
        for one in trial.did("refused"):
            if one.report and not one.report.why.strip():
                yield f"the report at {one.at:.1f} s does not say why"


def not_announced(seen: ByRadio) -> Clues:
    """Tell of a tug that takes orders and has not said so."""
    for trial in seen.trials:
        if trial.subscribed and not trial.did("joined"):
            yield "no report says that it has joined"


def at_most_once(seen: ByRadio) -> Clues:
    """Tell of a report that nobody acknowledged."""
    for trial in seen.trials:
        for one in trial.reports:
            if one.qos == 0:
                yield f"the report at {one.at:.1f} s went at QoS 0"
