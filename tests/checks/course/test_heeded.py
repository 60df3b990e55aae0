"""Settings of a course that nothing would read are told; what exists is never refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from traitlets.config import Config

from checks.course.config import settings
from checks.course.heeded import unknown_classes, unknown_option

Told = Callable[[str], tuple[str, list[str]]]


@pytest.fixture
def told(tmp_path: Path) -> Told:
    """Give what is said of a course to whose settings these are added."""

    def tell(added: str) -> tuple[str, list[str]]:
        c = Config()
        settings(c, tmp_path)
        exec(added, {"c": c})
        return unknown_option(c, tmp_path), [*unknown_classes(c, tmp_path)]

    return tell


@pytest.mark.parametrize(
    ("added", "meant"),
    [("c.Exchange.rooot = 'x'", "c.Exchange.root"),
     ("c.LateSubmissionPlugin.penalty_metod = 'zero'", "c.LateSubmissionPlugin.penalty_method"),
     ("c.Autograde.ExecutePreprocessor.timeot = 3", "c.ExecutePreprocessor.timeout")],
)  # fmt: skip
def test_an_option_that_its_class_has_not_is_wrong(added: str, meant: str, told: Told) -> None:
    wrong, doubtful = told(added)
    assert "has no option" in wrong and f"did you mean {meant}?" in wrong
    assert not doubtful


@pytest.mark.parametrize(
    ("added", "said"),
    [("c.Marknig.x = 1", "c.Marknig.x"),
     ("c.LateSubmisionPlugin.penalty_method = 'zero'", "did you mean LateSubmissionPlugin?"),
     ("c.exchange.root = 'x'", "did you mean Exchange?")],
)  # fmt: skip
def test_a_class_that_is_nowhere_is_told_and_not_refused(
    added: str, said: str, told: Told
) -> None:
    """It may be one of a package that is not installed here."""
    wrong, (words,) = told(added)
    assert not wrong
    assert said in words and "does nothing" in words


@pytest.mark.parametrize(
    "added",
    ["pass",
     "c.LateSubmissionPlugin.penalty_method = 'zero'",
     "c.Exchange.root = 'x'",
     "c.NbGrader.log_level = 30",
     "c.Exporter.template_file = 'x'  # of an heir",
     "c.LabApp.open_browser = False  # loaded by nothing here",
     "c.JupyterHub.port = 8000",
     "c.Authenticator.admin_users = {'ray'}  # JupyterHub's class, not nbgrader's of that name",
     "c.BasicConfig.course_id = 'x'  # old names, of which nbgrader itself says more",
     "c.AutogradeApp.create_student = True",
     "c.ClearSolutions.comment_mark = '#'",
     "c.ExchangeFactory.submit = 'mine.MySubmit'; c.MySubmit.colour = 3",
     "c.Foo  # looked at and not set"],
)  # fmt: skip
def test_what_exists_passes(added: str, told: Told) -> None:
    assert told(added) == ("", [])


def test_a_class_in_a_file_of_the_course_passes(tmp_path: Path, told: Told) -> None:
    (tmp_path / "late.py").write_text("class Later(LateSubmissionPlugin):\n    pass\n", "utf-8")
    assert told("c.Later.grace = 3; c.LateSubmissionPlugin.grace = 3") == ("", [])
