"""`grade` opens the form grader from a plain terminal, and says nothing of an exchange."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from checks.commands import main
from checks.course.config import make_course
from checks.course.lessons import ROOT

pytestmark = pytest.mark.slow


def test_the_form_grader_opens_in_the_course_and_ends_with_its_command(tmp_path: Path) -> None:
    course = make_course(tmp_path / "course")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    log = tmp_path / "said.txt"
    # As from a terminal in which no environment is activated.
    plain = {k: v for k, v in os.environ.items() if k != "VIRTUAL_ENV"}
    plain["PATH"] = os.defpath
    with log.open("w") as out:
        command = subprocess.Popen(
            [sys.executable, "-m", "checks", "grade", str(course), "--no-browser", "--port",
             str(port)], cwd=ROOT, env=plain, stdout=out, stderr=subprocess.STDOUT,
        )  # fmt: skip
    try:
        found = None
        for _ in range(1200):
            found = re.search(rf"http://127\.0\.0\.1:{port}/formgrader\?token=\w+", log.read_text())
            if found or command.poll() is not None:
                break
            time.sleep(0.1)
        assert found, log.read_text()
        browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        for place in ("", "/manage_students"):
            with browser.open(found[0].replace("grader?", f"grader{place}?"), timeout=60) as answer:
                assert "<title>nbgrader formgrade" in answer.read().decode()
    finally:
        command.terminate()
        assert command.wait(60) == 143
    assert "Unwritable" not in log.read_text()
    with socket.socket() as door:
        assert door.connect_ex(("127.0.0.1", port)) != 0, "the server has ended too"


def test_what_is_no_course_and_a_taken_port_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["grade", str(tmp_path)]) == 1
    assert "no course folder" in capsys.readouterr().err
    course = make_course(tmp_path / "course")
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        door.listen()
        assert main(["grade", str(course), "--port", str(door.getsockname()[1])]) == 1
    assert "taken by another program" in capsys.readouterr().err
