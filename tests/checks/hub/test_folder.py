"""What `python3 checks hub` writes: codes that stay, nothing for other eyes, files that hold."""

from __future__ import annotations

import ast
import asyncio
import dbm
import functools
import json
import logging
import pwd
import re
import shutil
import signal
import stat
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import bcrypt
import pytest
import yaml
from jupyterhub._data import DATA_FILES_PATH
from systemdspawner import SystemdSpawner, systemd
from traitlets.config import Config

from checks.commands import main
from checks.course.lessons import ROOT
from checks.course.roster import Roster, Student
from checks.hub import spawning, write
from checks.hub.codes import GONE, LEARNER, LONGEST, Pass, issue, read_codes, slips
from checks.hub.leavers import see_off
from checks.hub.login import ClassCodes
from checks.hub.spawning import OwnPort, SeatError, Seats, SystemdSeat
from checks.hub.write import CONFIG, GIVEN, write_hub
from robotsim import KitError

CLASS = "id,name,serial\nAnna,Anna Berg,11\nbo.k,Bo Kist,\n"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
HERE = Path(write.__file__).parent


@pytest.fixture(autouse=True)
def _codes_hashed_in_few_rounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """How dear a guess is made is bcrypt's own affair; `test_school` has its usual rounds."""
    monkeypatch.setattr(bcrypt, "gensalt", functools.partial(bcrypt.gensalt, 4))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("hub")
    (place / "class.csv").write_text(CLASS, encoding="utf-8")
    assert main(["hub", str(place / "made"), "--roster", str(place / "class.csv")]) == 0
    return place / "made"


def again(folder: Path, text: str = CLASS) -> list[str]:
    (folder.parent / "class.csv").write_text(text, encoding="utf-8")
    return [*write_hub(folder, roster=folder.parent / "class.csv")]


# -- codes -----------------------------------------------------------------------


def test_everybody_has_a_code_of_their_own_and_it_stays(folder: Path) -> None:
    first = read_codes(folder / "codes.csv")
    tugs = {one.user: one.tug for one in first}
    assert tugs == {"teacher": None, "anna": 11, "bo.k": None}
    assert len({one.code for one in first}) == 3 and all(len(one.code) >= 10 for one in first)
    again(folder, CLASS + "cy,Cy Lund,13\n")
    second = read_codes(folder / "codes.csv")
    assert second[:3] == first and second[3].user == "cy"


def test_who_leaves_has_no_code_and_who_comes_back_the_one_of_before(tmp_path: Path) -> None:
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    place = tmp_path / "made"
    list(write_hub(place, roster=tmp_path / "class.csv", teacher="Harlow"))
    first = {one.user: one.code for one in read_codes(place / "codes.csv")}
    told = "\n".join(again(place, "id\nAnna\nnils\n"))
    assert "class.csv: 2 learners; new: nils; gone: bo.k. You log in as harlow." in told
    seats = Seats(place / "codes.csv")
    assert seats.admit(tmp_path / "passwords") == {"harlow", "anna", "nils"}
    assert "bo.k" not in (place / "slips.html").read_text(encoding="utf-8")
    again(place)
    back = [one for one in read_codes(place / "codes.csv") if one.role != GONE]
    assert {one.user: one.code for one in back} == first


def test_who_has_left_by_the_roster_is_gone_and_named(tmp_path: Path) -> None:
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    place = tmp_path / "made"
    list(write_hub(place, roster=tmp_path / "class.csv"))
    first = {one.user: one.code for one in read_codes(place / "codes.csv")}
    text = "id,name,left\nAnna,Anna Berg,2199-03-31\nbo.k,Bo Kist,2026-01-31\n"
    for news in ("; gone: bo.k", ""):
        told = "\n".join(again(place, text))
        assert f"class.csv: 1 learner{news}. You log in" in told
        assert "column `left` says, so without a code: bo.k (2026-01-31)" in told
        assert Seats(place / "codes.csv").admit(tmp_path / "passwords") == {"teacher", "anna"}
        assert "bo.k" not in (place / "slips.html").read_text(encoding="utf-8")
    again(place)
    assert {one.user: one.code for one in read_codes(place / "codes.csv")} == first


def seen_off(codes: Path, users: dict[str, bool]) -> tuple[list[str], list[str]]:
    """Give what the hub is asked, and who is waited for, by whether each has a seat."""
    asked = []

    def hub(method: str, path: str) -> list[dict[str, object]]:
        asked.append(f"{method} {path}")
        return [{"name": name, "server": "/" if seat else None} for name, seat in users.items()]

    waiting = see_off(codes, hub)
    return [line for line in asked if not line.startswith("GET")], waiting


def test_the_hub_forgets_who_has_left_and_nobody_else(folder: Path, tmp_path: Path) -> None:
    here = {one.user: True for one in read_codes(folder / "codes.csv")}
    assert seen_off(folder / "codes.csv", here) == ([], [])
    asked, waiting = seen_off(folder / "codes.csv", {**here, "yara.p": True, "lea m": False})
    assert asked == ["DELETE /users/yara.p/server", "DELETE /users/lea%20m"]
    assert waiting == ["yara.p"]
    (tmp_path / "codes.csv").write_text("user,name,role,tug,code\n", encoding="utf-8")
    with pytest.raises(ValueError, match="nobody"):
        seen_off(tmp_path / "codes.csv", here)


def test_codes_are_for_the_teachers_eyes(folder: Path) -> None:
    for name in ("codes.csv", "slips.html"):
        assert stat.S_IMODE((folder / name).stat().st_mode) == 0o600
    codes = read_codes(folder / "codes.csv")
    assert not any(one.code in repr(one) for one in codes)
    public = [path for path in folder.rglob("*") if path.is_file() and path.stat().st_mode & 0o077]
    assert public
    for path in public:
        assert not any(one.code.encode() in path.read_bytes() for one in codes), path


def test_slips_have_a_code_for_each_learner_and_names_do_nothing_there(folder: Path) -> None:
    codes = (*read_codes(folder / "codes.csv"), Pass("eve", "Anna <b>", LEARNER, 3, "eve-s-code"))
    page = slips(codes)
    assert all((one.code in page) == (one.role == LEARNER) for one in codes)
    assert "Anna &lt;b&gt;" in page and "<b>" not in page


@pytest.mark.parametrize("id", ["x" * (LONGEST + 1), "teacher", "Teacher"])
def test_a_name_that_cannot_be_an_account_is_told(id: str) -> None:
    with pytest.raises(KitError, match="Too long|both called"):
        issue(Roster((Student(id),)), "teacher")


@pytest.mark.parametrize("name", ["", "ada lovelace", "../ada", "-ada", "a;b"])
def test_a_teachers_name_that_cannot_be_an_account_is_told(name: str) -> None:
    with pytest.raises(KitError, match="cannot be a user's name"):
        issue(Roster((Student("anna"),)), name)


def test_a_slip_speaks_as_the_page_to_log_in_does_and_says_where_that_is(folder: Path) -> None:
    """The words of JupyterHub's own page (6.1.1), which learners see."""
    page = (Path(DATA_FILES_PATH) / "templates" / "login.html").read_text(encoding="utf-8")
    asked = {word for word in ("Username", "Password") if f"{word}:" in page or f">{word}" in page}
    made = slips(read_codes(folder / "codes.csv"), "https://hub.school.example")
    assert asked == {"Username", "Password"} and all(word in made for word in asked)
    assert "https://hub.school.example" in made
    assert "____" in slips(read_codes(folder / "codes.csv"))  # a line to write it on


def test_a_folder_within_the_kit_or_of_something_else_is_refused(tmp_path: Path) -> None:
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    for place, words in ((ROOT / "my-hub", "within the kit"), (tmp_path, "something else")):
        with pytest.raises(KitError, match=words):
            list(write_hub(place, roster=tmp_path / "class.csv"))
    assert not (ROOT / "my-hub").exists() and [*tmp_path.iterdir()] == [tmp_path / "class.csv"]


def test_every_link_of_the_page_in_the_folder_leads_somewhere(folder: Path) -> None:
    page = (folder / "HUB.md").read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#\s]+)", page)
    assert [link for link in links if "://" not in link and not (folder / link).exists()] == []
    assert "checks/room/ROOM.md" in page


def test_a_damaged_file_of_codes_is_told_and_kept(tmp_path: Path) -> None:
    place = tmp_path / "codes.csv"
    place.write_text("user,code\nanna,x\n", encoding="utf-8")
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    with pytest.raises(KitError, match="cannot be read"):
        list(write_hub(tmp_path, roster=tmp_path / "class.csv"))
    assert place.read_text(encoding="utf-8") == "user,code\nanna,x\n"


def test_without_a_class_there_is_no_hub(tmp_path: Path) -> None:
    with pytest.raises(KitError, match="made for a class"):
        list(write_hub(tmp_path / "made", tmp_path))


def test_nobody_chooses_the_code_of_a_newcomer_whom_the_hub_does_not_know_yet(
    folder: Path, tmp_path: Path
) -> None:
    """A row has come into the file of codes, and the hub has not been started anew since."""
    Seats(folder / "codes.csv").admit(tmp_path / "passwords")
    (tmp_path / "codes.csv").write_text(
        (folder / "codes.csv").read_text("utf-8") + "new,New,learner,,abcdefghij\n", "utf-8"
    )
    door = ClassCodes(
        codes=str(tmp_path / "codes.csv"), dbm_path=str(tmp_path / "passwords"), create_users=False
    )
    given = {one.user: one.code for one in read_codes(tmp_path / "codes.csv")}

    def comes_in(user: str, code: str) -> bool:
        return bool(asyncio.run(door.authenticate(None, {"username": user, "password": code})))

    assert comes_in("anna", given["anna"]) and not comes_in("new", "of my choice")
    assert "new" not in known(tmp_path / "passwords")


def test_a_capital_does_no_harm_in_a_code_of_ones_own(folder: Path, tmp_path: Path) -> None:
    Seats(folder / "codes.csv").admit(tmp_path / "passwords")
    door = ClassCodes(
        codes=str(folder / "codes.csv"), dbm_path=str(tmp_path / "passwords"), create_users=False
    )

    def comes_in(code: str) -> bool:
        return bool(asyncio.run(door.authenticate(None, {"username": "anna", "password": code})))

    def changes(now: str, code: str) -> str:
        return asyncio.run(door.change(None, "anna", now, code, code))

    given = next(one.code for one in read_codes(folder / "codes.csv") if one.user == "anna")
    assert changes(given, "Seagull77") == ""
    assert [*map(comes_in, ("Seagull77", "seagull77", "SEAGULL77 "))] == [True] * 3
    assert not comes_in("seagull78") and not comes_in(given)
    door.reset_password("anna", "Older-One")  # as it was kept before
    assert comes_in("Older-One") and changes("Older-One", "Gull") != "" and comes_in("Older-One")


# -- the folder ------------------------------------------------------------------


def test_a_newer_configuration_takes_the_place_of_one_that_nobody_has_edited(folder: Path) -> None:
    now = (folder / CONFIG).read_bytes()
    assert (folder / GIVEN).read_bytes() == now
    for name in (CONFIG, GIVEN):
        (folder / name).write_bytes(b"# of an earlier kit\n")
    assert not any("yours stays" in line for line in again(folder))
    assert (folder / CONFIG).read_bytes() == (folder / GIVEN).read_bytes() == now


@pytest.mark.parametrize(
    ("there", "given", "stays"),
    [(None, None, False), ("old", "old", False), ("mine", "old", True), ("mine", None, True),
     ("new", None, False)],
)  # fmt: skip
def test_the_installer_leaves_a_configuration_that_was_edited(
    there: str | None, given: str | None, stays: bool, tmp_path: Path
) -> None:
    """The installer's own lines, in a folder of ours."""
    text = (HERE / "machine" / "install.sh").read_text(encoding="utf-8")
    lines = text[text.index("given=") : text.index('say "6 of 6')]
    etc = tmp_path / "etc"
    etc.mkdir()
    for place, words in {CONFIG: "new", GIVEN: "new"}.items():
        (tmp_path / place).write_text(words)
    for place, said in {CONFIG: there, GIVEN: given}.items():
        if said is not None:
            (etc / place).write_text(said)
    own = f"ETC={etc}; say() {{ :; }}\n{lines}"
    subprocess.run(["bash", "-eu", "-c", own], cwd=tmp_path, check=True)
    assert (etc / CONFIG).read_text() == ("mine" if stays else "new")
    if not stays:
        assert (etc / GIVEN).read_text() == "new"


def test_a_configuration_that_was_edited_stays(folder: Path) -> None:
    place = folder / CONFIG
    mine = place.read_text(encoding="utf-8") + "c.Spawner.mem_limit = '3G'\n"
    place.write_text(mine, encoding="utf-8")
    told = again(folder)
    assert any("yours stays" in line for line in told)
    assert place.read_text(encoding="utf-8") == mine
    fresh = folder / "jupyterhub_config.new.py"
    assert fresh.read_bytes() == (HERE / "machine" / "jupyterhub_config.txt").read_bytes()


def test_the_kit_in_it_has_what_the_server_needs_and_no_answers(folder: Path) -> None:
    with zipfile.ZipFile(folder / "quayside.zip") as pack:
        names = {name.removeprefix("quayside/") for name in pack.namelist()}
    hub = "spawning serve desk seat leavers resting room exchange".split()
    wanted = {*(f"checks/hub/{name}.py" for name in hub), "checks/environment.py",
              "checks/home/handing.py", "pyproject.toml"}  # fmt: skip
    assert wanted <= names
    kept_out = ("tests/", "checks/marking", "checks/demo", "checks/hub/write")
    assert not [name for name in names if name.startswith(kept_out)]


def test_the_configuration_is_short_and_can_be_read() -> None:
    text = (HERE / "machine" / "jupyterhub_config.txt").read_text(encoding="utf-8")
    ast.parse(text)
    assert len(text.splitlines()) < 110


def test_a_seats_server_loads_nothing_of_the_hubs_own() -> None:
    code = (
        "from checks.hub.serve import leave_out_the_hub; leave_out_the_hub()\n"
        "import sys, jupyterhub.singleuser.extension\n"
        "kinds = ('sqlalchemy', 'alembic', 'jupyterhub.handlers', 'jupyterhub.orm')\n"
        "print([name for name, one in sys.modules.items()"
        " if name.startswith(kinds) and getattr(one, '__file__', None)])"
    )
    done = subprocess.run([sys.executable, "-P", "-c", code], capture_output=True, text=True)
    assert (done.stdout, done.returncode) == ("[]\n", 0), done.stderr


def test_the_installer_is_a_script_that_bash_can_read() -> None:
    subprocess.run(["bash", "-n", str(HERE / "machine" / "install.sh")], check=True)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--help"], "id -un"), (["--nonsense"], "no option --nonsense"), (["--"], "no option --"),
        (["a", "b"], "One name at most"), (["no-such-account-here"], "no account"),
        ([""], "Whose account"),
    ],
)  # fmt: skip
def test_the_installer_is_told_wrong_things_and_does_nothing(
    folder: Path, tmp_path: Path, words: list[str], said: str
) -> None:
    """Whatever it would call to change the machine stands in the way here, and would be noted."""
    called = tmp_path / "called"
    for name in ("useradd", "usermod", "groupadd", "install", "apt-get", "npm", "systemctl"):
        (tmp_path / name).write_text(f"#!/bin/sh\necho {name} >> {called}\nexit 1\n")
        (tmp_path / name).chmod(0o755)
    (tmp_path / "id").write_text("#!/bin/sh\n[ \"$1\" = -u ] && echo 0\n")
    (tmp_path / "id").chmod(0o755)
    env = {"PATH": f"{tmp_path}:/usr/bin:/bin"}
    done = subprocess.run(["bash", str(folder / "install.sh"), *words], env=env, text=True,
                          capture_output=True, check=False)  # fmt: skip
    assert said in done.stdout + done.stderr
    assert (done.returncode == 0) == (words == ["--help"]) and not called.exists()


def refused(folder: Path, calls: Path, *more: Path, **says: str) -> str:
    """Run the installer among stand-ins for the system's commands; give what it says.

    Args:
        folder: Where it is.
        calls: An empty folder for the stand-ins.
        more: Further places for commands.
        says: What some of these do otherwise, as shell.
    """
    called = calls.with_name("called")
    does = {"useradd": f"echo >> {called}", "groupadd": f"echo >> {called}", "npm": "",
            "id": '[ "$1" = -u ] && echo 0', **says}  # fmt: skip
    for name, text in does.items():
        (calls / name).write_text(f"#!/bin/sh\n{text}\n")
        (calls / name).chmod(0o755)
    done = subprocess.run(
        ["bash", str(folder / "install.sh"), "root"], text=True, capture_output=True, check=False,
        env={"PATH": ":".join(map(str, (calls, *more, "/usr/bin", "/bin")))},
    )  # fmt: skip
    assert done.returncode == 1 and not called.exists()
    return done.stderr


def test_a_python_that_only_root_may_use_is_refused_before_anything_is_done(
    folder: Path, tmp_path: Path
) -> None:
    """A seat's account could not start it: everybody would get "500"."""
    (calls := tmp_path / "bin").mkdir(mode=0o700)
    told = refused(folder, calls, Path(sys.executable).parent, node="echo 22", setpriv="exit 127")
    assert "no seat would start" in told


def test_an_older_system_is_told_what_it_lacks_and_no_more(folder: Path, tmp_path: Path) -> None:
    """Debian 12 has the Python, and a Node.js of 18: with a newer one it is good enough."""
    (calls := tmp_path / "bin").mkdir()
    node = "case $1 in -p) echo 18 ;; *) echo v18.20.4 ;; esac"
    told = refused(folder, calls, node=node, setpriv="")
    assert "here is v18.20.4" in told and "Debian 12 needs no more than that" in told
    assert "Debian 12" in (HERE / "HUB.md").read_text(encoding="utf-8")


def test_an_address_is_kept_and_new_codes_are_told(tmp_path: Path) -> None:
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    place = tmp_path / "made"
    first = [*write_hub(place, roster=tmp_path / "class.csv", address="http://tug.school")]
    assert any("All codes are new" in line for line in first)
    (place / "slips.html").unlink()
    later = again(place)
    assert "http://tug.school" in (place / "slips.html").read_text(encoding="utf-8")
    assert not any("codes are new" in line or "have a line" in line for line in later)


def test_an_address_that_is_none_is_refused(tmp_path: Path) -> None:
    with pytest.raises(KitError, match="no address of a page") as refused:
        list(write_hub(tmp_path / "hub", address="school"))
    assert "--address http://school" in str(refused.value)


def test_what_the_installer_needs_is_in_the_folder(folder: Path) -> None:
    text = (folder / "install.sh").read_text(encoding="utf-8")
    (files,) = re.findall(r"^for file in (.*); do$", text, re.M)
    assert all((folder / file).is_file() for file in files.split())
    assert (folder / "install.sh").stat().st_mode & 0o100


def test_the_proxy_is_fixed_with_a_checksum_for_every_package_and_names_no_host() -> None:
    text = (HERE / "machine" / "proxy" / "package-lock.json").read_text(encoding="utf-8")
    packages: dict[str, Any] = json.loads(text)["packages"]
    assert len(packages) > 20 and not re.search(r"https?://", text)
    for name, one in packages.items():
        assert name == "" or re.match(r"sha512-", one["integrity"]), name
    asked = json.loads((HERE / "machine" / "proxy" / "package.json").read_text(encoding="utf-8"))
    assert asked["dependencies"] == packages[""]["dependencies"]


def configured(folder: Path, state: Path, *, systemd: bool) -> Config:
    """Give what the hub's configuration comes to, with and without systemd."""
    text = (HERE / "machine" / "jupyterhub_config.txt").read_text(encoding="utf-8")
    for old, new in {"/etc/quayside": str(folder), "/var/lib/quayside": str(state),
                     "/run/systemd/system": "/" if systemd else "/nowhere"}.items():  # fmt: skip
        assert old in text
        text = text.replace(old, new)
    made = Config()
    exec(compile(text, CONFIG, "exec"), {"get_config": lambda: made, "__name__": "config"})
    return made


def test_the_class_and_nobody_else_comes_in(folder: Path, tmp_path: Path) -> None:
    made = configured(folder, tmp_path, systemd=False)
    users = {one.user for one in read_codes(folder / "codes.csv") if one.role != GONE}
    assert made.Authenticator.allowed_users == users == known(tmp_path / "passwords")
    assert made.Authenticator.admin_users == {"teacher"}
    assert made.Authenticator.allow_existing_users is False


def test_no_service_keeps_the_hub_from_ending(folder: Path, tmp_path: Path) -> None:
    """Whoever starts the hub in a shell's background has its children ignore SIGINT (sh(1p), 2.11),
    with which the hub ends its services; it waits half a minute for each that does."""
    code = "import signal; print(signal.getsignal(signal.SIGINT) is signal.default_int_handler)"
    services = configured(folder, tmp_path, systemd=False).JupyterHub.services
    assert len(services) == 3
    for one in services:
        words = one["command"]
        own = words[: words.index(str(Path(sys.prefix).resolve() / "bin" / "python"))]
        done = subprocess.run(
            [*own, sys.executable, "-c", code], capture_output=True, text=True, check=False,
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_IGN),
        )  # fmt: skip
        assert done.stdout == "True\n", (one["name"], done)


def known(passwords: Path) -> set[str]:
    with dbm.open(str(passwords)) as kept:
        return {bytes(name).decode() for name in kept.keys()}


def test_under_systemd_a_seat_is_its_account_with_its_limits(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The spawner's own code, up to what it would ask of systemd."""
    asked: dict[str, Any] = {}

    async def start(name: str, **given: Any) -> None:
        asked.update(given, name=name)

    async def running(name: str) -> bool:
        return bool(asked)

    async def failed(name: str) -> bool:
        return False

    monkeypatch.setattr(systemd, "start_transient_service", start)
    monkeypatch.setattr(systemd, "service_running", running)
    monkeypatch.setattr(systemd, "service_failed", failed)
    account = pwd.struct_passwd(("seat-anna", "x", 4711, 4712, "", "/srv/homes/anna", "/bin/sh"))
    monkeypatch.setattr(pwd, "getpwnam", {"seat-anna": account}.__getitem__)
    user = SimpleNamespace(name="anna", id=1)
    config = configured(folder, tmp_path, systemd=True)
    assert config.JupyterHub.spawner_class == f"{SystemdSeat.__module__}.{SystemdSeat.__name__}"
    seat = SystemdSeat(config=config, user=user)
    monkeypatch.setattr(spawning, "listeners", lambda port: {4711} if port == seat.port else set())
    monkeypatch.setattr(SystemdSpawner, "get_env", lambda self: {})
    monkeypatch.setattr(SystemdSpawner, "get_args", lambda self: list(self.args))
    asyncio.run(seat.start())
    assert (asked["uid"], asked["gid"]) == (4711, 4712)
    assert (asked["name"], asked["working_dir"]) == ("quayside-seat-anna", "/srv/homes/anna")
    wanted = {"MemoryMax": 2 * 1024**3, "CPUQuota": "100%", "TasksMax": "200", "PrivateTmp": "yes",
              "NoNewPrivileges": "yes", "MemorySwapMax": "0"}  # fmt: skip
    assert wanted.items() <= asked["properties"].items()


class Drawing:
    """A spawner that draws one port after the other, and whose servers never end by themselves."""

    user, log = SimpleNamespace(name="anna"), logging.getLogger(__name__)

    def __init__(self) -> None:
        self.drawn, self.ended, self.api_token = list[int](), 0, "token"

    async def start(self) -> tuple[str, int]:
        assert (self.port, self.api_token) == (0, "token")
        self.port = 5001 + len(self.drawn)
        self.drawn.append(self.port)
        return "127.0.0.1", self.port

    async def poll(self) -> None:
        return None

    async def stop(self, now: bool = False) -> None:
        """End it, and forget its token, as JupyterHub's own do (6.1.1, clear_state)."""
        self.ended, self.api_token = self.ended + 1, ""


class DrawingSeat(OwnPort, Drawing):
    """A seat of such a spawner."""


@pytest.mark.parametrize("taken", [0, 1, 2, 3])
def test_a_seat_stands_at_a_port_of_its_own_or_says_that_it_does_not(
    taken: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    account = pwd.struct_passwd(("seat-anna", "x", 4711, 4712, "", "/srv/homes/anna", "/bin/sh"))
    monkeypatch.setattr(pwd, "getpwnam", {"seat-anna": account}.__getitem__)
    monkeypatch.setattr(spawning, "listeners", lambda port: {4711 + (port <= 5000 + taken)})
    seat = DrawingSeat()
    if taken < 3:
        assert asyncio.run(seat.start()) == ("127.0.0.1", 5001 + taken)
    else:
        with pytest.raises(SeatError, match="tell your teacher"):
            asyncio.run(seat.start())
    assert seat.ended == taken


# systemd's own tool says whether a unit and its properties are understood.


@pytest.fixture
def checker() -> str:
    found = shutil.which("systemd-analyze")
    if found is None:
        pytest.skip("systemd-analyze is not installed")
    return found


def complaints(checker: str, unit: Path) -> list[str]:
    command = [checker, "verify", str(unit)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    rows = (done.stdout + done.stderr).splitlines()
    return [row for row in rows if unit.name in row and "not executable" not in row]


def test_systemd_understands_the_unit(checker: str, tmp_path: Path) -> None:
    unit = tmp_path / "quayside-hub.service"
    text = (HERE / "machine" / unit.name).read_text(encoding="utf-8")
    unit.write_text(text, encoding="utf-8")
    assert complaints(checker, unit) == []
    unit.write_text(text.replace("KillMode=process", "KillMode=procss"), encoding="utf-8")
    assert complaints(checker, unit)


def test_systemd_understands_a_seats_limits(checker: str, tmp_path: Path) -> None:
    """The spawner's own properties (jupyterhub-systemdspawner 1.0.2, start) and those we add."""
    text = (HERE / "machine" / "jupyterhub_config.txt").read_text(encoding="utf-8")
    added = dict(re.findall(r'"(\w+)": (?:str\(TASKS\)|"([^"]+)")', _braces(text)))
    rows = {"MemoryMax": str(2 * 1024**3), "CPUQuota": "100%", "NoNewPrivileges": "yes",
            "PrivateTmp": "yes", "PrivateDevices": "yes", **added, "TasksMax": "200"}  # fmt: skip
    assert {"MemorySwapMax", "OOMPolicy", "UMask"} <= {*rows}
    unit = tmp_path / "quayside-seat-anna.service"
    body = "\n".join(f"{name}={value}" for name, value in rows.items())
    unit.write_text(f"[Service]\nExecStart=/bin/true\n{body}\n", encoding="utf-8")
    assert complaints(checker, unit) == []


def _braces(config: str) -> str:
    return config.partition("unit_extra_properties = {")[2].partition("}")[0]


# -- many machines ---------------------------------------------------------------


@pytest.fixture
def values() -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((HERE / "cloud" / "values.yaml").read_text("utf-8"))
    return found


def test_the_chart_starts_this_kits_image_with_the_same_limits(values: dict[str, Any]) -> None:
    text = (HERE / "machine" / "jupyterhub_config.txt").read_text(encoding="utf-8")
    memory, cores = re.findall(r'^MEMORY, CORES, TASKS = "(\w+)", ([\d.]+)', text, re.M)[0]
    seat = values["singleuser"]
    assert seat["image"]["tag"] == PROJECT["version"]
    assert (seat["memory"]["limit"], float(seat["cpu"]["limit"])) == (memory, float(cores))
    assert values["cull"]["timeout"] == int(re.findall(r"--timeout=(\d+)", text)[0])
    ast.parse(values["hub"]["extraConfig"]["seats"])


def test_the_image_is_made_of_this_kit_and_starts_as_the_chart_says(values: dict[str, Any]) -> None:
    text = (HERE / "cloud" / "Dockerfile").read_text(encoding="utf-8")
    assert f'image.version="{PROJECT["version"]}"' in text
    assert f"quayside-seat:{PROJECT['version']}" in text
    (command,) = re.findall(r"^CMD (.*)$", text, re.M)
    assert json.loads(command) == values["singleuser"]["cmd"]
    (base,) = re.findall(r"^FROM python:([\d.]+)-", text, re.M)
    oldest = PROJECT["requires-python"].removeprefix(">=")
    assert tuple(map(int, base.split("."))) >= tuple(map(int, oldest.split(".")))
    assert "hub" in PROJECT["optional-dependencies"] and "[hub]" in text
