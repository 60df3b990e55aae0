"""The plugged tug, judged by the public client; MicroPython's reference says what it should do."""

from __future__ import annotations

import hashlib
import json
import os
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from urllib.request import urlopen

import pytest
import serial

from robotsim import KitError
from robotsim.cable.commands import _use_hands
from robotsim.cable.page import Page
from robotsim.cable.plug import Plug
from robotsim.twin.tug_file import read_tug
from tests.robotsim.cable.plugs import Terminal, client, plugged, pull, started, until

pytestmark = pytest.mark.skipif(
    sys.platform != "linux", reason="the interpreter is packaged for Linux alone"
)
BYTES = bytes(range(256)) * 24 + b"\r\n\n\r\x03\x04\x01 the end"
PROMPT = r">>> "


@pytest.fixture(scope="module")
def plug(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Plug]:
    """One tug for all tests: whatever one leaves behind, the next must cope with."""
    with plugged(tmp_path_factory.mktemp("plug") / "flash", serial=3) as found:
        yield found


@pytest.fixture
def wire(plug: Plug) -> Iterator[serial.Serial]:
    """The bare serial line."""
    with serial.Serial(plug.port, 115200, timeout=60) as found:
        found.write(b"\r\x03\x03\x02")
        found.read_until(b">>> ")
        # Further prompts may be on their way, on a busy machine for long: an answer ends them.
        found.write(b"print('in' 'step')\r")
        assert found.read_until(b"instep\r\n>>> ").endswith(b"instep\r\n>>> ")
        yield found


def motors(plug: Plug) -> bool:
    """Tell whether the tug moves."""
    return abs(plug.look.speed) + abs(plug.look.turn_rate) > 1e-3


def rested(plug: Plug) -> None:
    """Wait until the tug has come to rest."""
    for _ in range(300):
        if not motors(plug):
            return
        time.sleep(0.1)
    raise AssertionError("the tug goes on")


# -- the prompt, as the reference documents it -----------------------------------------


def test_the_prompt_echoes_and_answers(wire: serial.Serial) -> None:
    wire.write(b"1 + 1\r")
    assert wire.read_until(b">>> ") == b"1 + 1\r\n2\r\n>>> "


def test_raw_mode_answers_as_documented(wire: serial.Serial) -> None:
    """MicroPython's reference, "The MicroPython Interactive Interpreter Mode": raw mode (read)."""
    wire.write(b"\x01")
    assert wire.read_until(b">").endswith(b"raw REPL; CTRL-B to exit\r\n>")
    wire.write(b"print(6 * 7)\x04")
    assert wire.read_until(b"\x04>") == b"OK42\r\n\x04\x04>"
    wire.write(b"1 / 0\x04")
    assert b"ZeroDivisionError" in wire.read_until(b"\x04>")
    wire.write(b"\x02")
    wire.read_until(b">>> ")


def test_raw_paste_mode_answers_as_documented(wire: serial.Serial) -> None:
    """The same page, "Raw-paste mode" (read): R 01, the window, 01 for each, 04 at the end."""
    wire.write(b"\x01")
    wire.read_until(b">")
    wire.write(b"\x05A\x01")
    assert wire.read(2) == b"R\x01"
    window = int.from_bytes(wire.read(2), "little")
    assert window == 128 and wire.read(1) == b"\x01"
    wire.write(b"print('pasted')\x04")
    assert wire.read_until(b"\x04>") == b"\x04pasted\r\n\x04\x04>"
    wire.write(b"\x05A\x01")
    wire.read(5)
    wire.write(b"print(\x03")  # broken off within the paste
    assert b"KeyboardInterrupt" in wire.read_until(b"\x04>")
    wire.write(b"\x02")
    wire.read_until(b">>> ")


@pytest.mark.parametrize("loop", ["pass", "time.sleep_ms(5)", "led.on()", "time.sleep(100)"])
def test_ctrl_c_breaks_off_any_loop_at_once(wire: serial.Serial, loop: str) -> None:
    start = b"\x01import time, machine\nled = machine.Pin(2, machine.Pin.OUT)\n"
    wire.write(start + b"print('on')\nwhile True: " + loop.encode() + b"\n\x04")
    wire.read_until(b"on\r\n")
    for again in range(3):
        wire.write(b"\x03")
        assert b"KeyboardInterrupt" in wire.read_until(b"\x04>"), again
        wire.write(b"while True: " + loop.encode() + b"\n\x04")
        wire.read_until(b"OK")
        time.sleep(0.05)
    wire.write(b"\x03")
    wire.read_until(b"\x04>")
    wire.write(b"print(time.ticks_ms() > 0)\x04")  # the link to the board is in step still
    assert b"True" in wire.read_until(b"\x04>")


def test_ctrl_c_in_a_callback_reaches_the_program(wire: serial.Serial) -> None:
    wire.write(
        b"\x01import time\nfrom machine import Timer\ndef stuck(t):\n    print('in')\n"
        b"    while True: pass\n"
        b"t = Timer(0, period=20, mode=Timer.ONE_SHOT, callback=stuck)\ntime.sleep(100)\n\x04"
    )
    wire.read_until(b"in\r\n")
    wire.write(b"\x03")
    assert b"KeyboardInterrupt" in wire.read_until(b"\x04>")
    wire.write(b"print(time.ticks_ms() > 0)\x04")
    assert b"True" in wire.read_until(b"\x04>")


def test_a_soft_reset_runs_boot_and_main_and_the_prompt_has_their_names(
    plug: Plug, wire: serial.Serial
) -> None:
    (plug.order.flash / "boot.py").write_text("print('boot', __name__)\nA = 1\n")
    (plug.order.flash / "main.py").write_text("print('main')\nB = A + 1\n1 / 0\n")
    wire.write(b"\x04")
    shown = wire.read_until(b">>> ")
    assert b"MPY: soft reboot\r\nboot __main__\r\nmain\r\nTraceback" in shown
    assert b'File "main.py", line 3, in <module>' in shown and b"boot_plug" not in shown
    wire.write(b"A, B\r")
    assert b"(1, 2)" in wire.read_until(b">>> ")
    # In raw mode the same key runs boot.py alone, and stays in raw mode.
    wire.write(b"\x01\x04")
    assert wire.read_until(b"soft reboot\r\n").endswith(b"OK\r\nMPY: soft reboot\r\n")
    assert wire.read_until(b"exit\r\n>") == b"boot __main__\r\nraw REPL; CTRL-B to exit\r\n>"
    wire.write(b"\x02")
    wire.read_until(b">>> ")
    for name in ("boot.py", "main.py"):
        (plug.order.flash / name).unlink()


def test_a_main_program_that_ends_itself_starts_anew(plug: Plug, wire: serial.Serial) -> None:
    (plug.order.flash / "main.py").write_text("print('round')\nraise SystemExit\n")
    wire.write(b"\x04")
    for _ in range(3):
        wire.read_until(b"round\r\n")
    (plug.order.flash / "main.py").unlink()
    wire.read_until(b">>> ")


# -- real time, and safety ----------------------------------------------------------------


def test_the_tug_lives_in_real_time_and_a_reset_lets_its_motors_go(
    plug: Plug, wire: serial.Serial
) -> None:
    wire.write(
        b"\x01import time\nfrom machine import Pin, PWM\nleft = PWM(Pin(25), freq=20000)\n"
        b"left.duty_u16(45000)\nt = time.ticks_ms()\ntime.sleep(0.5)\n"
        b"print('took', time.ticks_diff(time.ticks_ms(), t))\n\x04"
    )
    shown = wire.read_until(b"\x04>").decode()
    took = int(shown.split("took ")[1].split()[0])
    assert took >= 500  # how much more, a busy computer decides
    assert motors(plug)  # at the prompt a duty stays on, as on a real board
    wire.write(b"\x02")
    wire.read_until(b">>> ")
    wire.write(b"\x04")
    wire.read_until(b">>> ")
    rested(plug)


def test_connecting_copying_and_resetting_move_nothing(plug: Plug, tmp_path: Path) -> None:
    (plug.order.flash / "main.py").write_text("print('waits for the bumper')\n")
    client(plug, "soft-reset")
    rested(plug)
    before = plug.look.pose
    (tmp_path / "a.bin").write_bytes(BYTES)
    client(plug, "fs", "cp", str(tmp_path / "a.bin"), ":a.bin")
    client(plug, "reset")
    client(plug, "soft-reset")
    time.sleep(0.4)
    assert plug.look.pose == pytest.approx(before, abs=1e-9)
    (plug.order.flash / "main.py").unlink()


# -- the public client --------------------------------------------------------------------


def test_files_go_both_ways_and_lie_in_the_folder(plug: Plug, tmp_path: Path) -> None:
    (tmp_path / "there.bin").write_bytes(BYTES)
    there, back = str(tmp_path / "there.bin"), str(tmp_path / "back.bin")
    shown = client(plug, "fs", "cp", there, ":b.bin", "+", "fs", "cp", ":b.bin", back,
                   "+", "fs", "sha256sum", ":b.bin", "+", "fs", "mkdir", ":logs",
                   "+", "fs", "ls", "+", "df")  # fmt: skip
    assert (tmp_path / "back.bin").read_bytes() == BYTES
    assert (plug.order.flash / "b.bin").read_bytes() == BYTES
    assert hashlib.sha256(BYTES).hexdigest() in shown
    assert f"{len(BYTES)} b.bin" in shown and "logs/" in shown


def test_exec_run_and_mount(plug: Plug, tmp_path: Path) -> None:
    (tmp_path / "helper.py").write_text("print('from this computer')\nVALUE = 11\n")
    (tmp_path / "go.py").write_text("import helper, os\nprint(helper.VALUE, os.listdir())\n")
    shown = client(plug, "mount", str(tmp_path), "run", str(tmp_path / "go.py"),
                   "+", "exec", "print(sum(range(5)))")  # fmt: skip
    assert "from this computer\n11 ['" in shown and "10\n" in shown


def test_a_person_at_the_clients_prompt(plug: Plug) -> None:
    person = Terminal(plug)
    person.type("\r")
    person.see(PROMPT)
    person.type("import time\r")
    person.see(PROMPT)
    person.type("while True: time.sleep(0.01)\r\r")
    time.sleep(0.3)
    person.type("\x03")
    person.see("KeyboardInterrupt")
    person.see(PROMPT)
    person.type("40 + 2\r")
    person.see(r"42\r\n")
    person.leave()


def test_hands_answer_and_the_page_shows_what_they_do(
    plug: Plug, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", ["paper 2\n", "pres\n", "Press\n", "\n", "home\n"])
    monkeypatch.setattr(plug, "order", replace(plug.order, twin=read_tug({"lamp_order": "RGB"})))
    _use_hands(plug.tug.hands)
    paper, wrong, hint, pressed, home = capsys.readouterr().out.splitlines()
    now = "Hands: black under the two port eyes, white under the others; the bumper "
    assert paper == f"{now}free." and pressed == f"{now}held down."
    assert "'pres' is nothing" in wrong and "did you mean `press`?" in hint
    assert home.startswith("It stands where it stood.")
    page = Page(plug)
    try:
        assert json.load(urlopen(f"{page.address}look"))["seen"].endswith(pressed)
        shown = urlopen(page.address).read().decode()
        assert "The twin of a tug of yours. Measured on it: lamp order. Not measured" in shown
    finally:
        page.close()
        plug.tug.hands.do("let go")
        assert plug.tug.hands.do("paper away") == "Hands: no paper under its eyes; the bumper free."


def test_a_pulled_cable_loses_nothing(plug: Plug, tmp_path: Path) -> None:
    """The client is killed while it copies and while it runs; flash and next visit stand."""
    (plug.order.flash / "kept.txt").write_text("ahoy")
    (tmp_path / "long.bin").write_bytes(os.urandom(200_000))
    copying = started(plug, "fs", "cp", str(tmp_path / "long.bin"), ":long.bin")
    time.sleep(1.2)
    pull(copying)
    running = started(plug, "exec", "import time\nprint('going')\nwhile True: time.sleep(1)")
    until(running, b"going")
    pull(running)
    assert client(plug, "fs", "cat", ":kept.txt").endswith("ahoy")


def test_the_flash_outlives_the_plug_and_a_second_plug_is_refused(tmp_path: Path) -> None:
    with plugged(tmp_path / "flash", listen=("127.0.0.1", 0)) as plug:
        address = plug.ports[1]
        assert address.startswith("socket://127.0.0.1:")
        client(address, "exec", "open('log.txt', 'w').write('ahoy')")
        with pytest.raises(KitError, match="plugged in already"):
            with plugged(tmp_path / "flash"):
                pass
    with plugged(tmp_path / "flash") as plug:
        assert "ahoy" in client(plug, "fs", "cat", ":log.txt")


def test_the_flash_is_full_at_two_megabytes(wire: serial.Serial) -> None:
    wire.write(b"\x01f = open('big', 'w')\nfor k in range(3000): f.write('x' * 1000)\n\x04")
    assert b"OSError: 28" in wire.read_until(b"\x04>")
    wire.write(b"f.close()\nimport os\nos.remove('big')\nprint(os.statvfs('/')[3] > 400)\x04")
    assert b"True" in wire.read_until(b"\x04>")


def test_nothing_outside_the_flash_is_seen(wire: serial.Serial) -> None:
    wire.write(
        b"\x01import os, vfs\nprint(os.listdir('/../..'), hasattr(os, 'system'))\n"
        b"try: open('/etc/passwd')\nexcept OSError as fault: print(fault)\n"
        b"print(hasattr(vfs, 'VfsPosix'), os.uname()[0])\n\x04"
    )
    shown = wire.read_until(b"\x04>")
    assert b"etc" not in shown and b"ENOENT" in shown
    assert b"False" in shown and b"True" not in shown and b"esp32" in shown


# -- twenty times -------------------------------------------------------------------------


@pytest.mark.long
@pytest.mark.parametrize("first", range(0, 20, 2))
@pytest.mark.parametrize("pulled", [False, True])
def test_twenty_times_each(tmp_path: Path, pulled: bool, first: int) -> None:
    """List, copy both ways, run, exec, mount, prompt, reset, interrupt; also pulled in between."""
    (tmp_path / "there.bin").write_bytes(BYTES)
    (tmp_path / "long.bin").write_bytes(os.urandom(100_000))
    (tmp_path / "mod.py").write_text("VALUE = 5\n")
    (tmp_path / "go.py").write_text("import mod\nprint('value', mod.VALUE)\n")
    there, back = str(tmp_path / "there.bin"), tmp_path / "back.bin"
    with plugged(tmp_path / "flash", serial=5) as plug:
        for turn in range(first, first + 2):
            if pulled:
                _pulled_somewhere(plug, tmp_path, turn)
            client(plug, "fs", "cp", there, f":{turn}.bin")
            client(plug, "fs", "cp", f":{turn}.bin", str(back))
            assert back.read_bytes() == BYTES
            assert f"{turn}.bin" in client(plug, "fs", "ls")
            assert client(plug, "exec", f"print({turn} + 1)") == f"{turn + 1}\n"
            assert "value 5" in client(plug, "mount", str(tmp_path), "run", str(tmp_path / "go.py"))
            client(plug, "reset")
            person = Terminal(plug)
            person.type("\r")
            person.see(PROMPT)
            person.type("while True: pass\r\r")
            time.sleep(0.2)
            person.type("\x03")
            person.see("KeyboardInterrupt")
            person.type("\x04")
            person.see("soft reboot")
            person.see(PROMPT)
            person.leave()
            assert client(plug, "exec", "print('last')") == "last\n"
        for turn in range(first, first + 2):
            assert (plug.order.flash / f"{turn}.bin").read_bytes() == BYTES


def _pulled_somewhere(plug: Plug, folder: Path, turn: int) -> None:
    work = (
        ("fs", "cp", str(folder / "long.bin"), ":long.bin"),
        ("exec", "while True: pass"),
        ("fs", "cp", ":long.bin", str(folder / "taken.bin")),
        ("run", str(folder / "go.py")),
    )[turn % 4]
    running = started(plug, *work)
    time.sleep(0.5 + 0.06 * turn)
    pull(running)
