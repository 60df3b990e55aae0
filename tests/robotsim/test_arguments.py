"""What is mistyped at `python3 robotsim` costs two lines that say what was probably meant."""

from __future__ import annotations

import pytest

from robotsim.commands import main


@pytest.mark.parametrize(
    ("words", "guess"),
    [(("powerrup",), "did you mean `powerup`?"),
     (("exprot", "a.py", "b"), "did you mean `export`?"),
     (("powerup", "--prot", "x"), "did you mean `--port`?"),
     (("powerup", "--part", "eye"), "did you mean `eyes`?"),
     (("plug", "--table", "bassin"), "did you mean `basin`?"),
     (("plug", "\u2013seriall", "7"), "did you mean `--serial`?"),
     (("main.py", "ready"), "did you mean `ready`?"), (("fit",), "fit --help"),
     (("plug", "--serial", "seven"), "'seven' is no whole number."),
     (("aboard", "a.py", "--seconds", "3s"), "'3s' is no number."),
     (("fit", "t.json", "--run", "0.5", "0.5", "-5.6"), "joined by commas, without spaces"),
     (("plug", "7", "x"), "plug --help` has all places")],
)  # fmt: skip
def test_a_slip_at_the_command_line_is_told_with_what_was_probably_meant(
    words: tuple[str, ...], guess: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(words)
    shown = capsys.readouterr().err
    assert ended.value.code == 2 and guess in shown and len(shown.splitlines()) == 2


def test_without_a_word_it_lists_what_it_can_do(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main([])
    assert not ended.value.code and "    powerup " in capsys.readouterr().out
