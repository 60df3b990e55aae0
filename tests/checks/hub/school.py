"""A school on this machine: real accounts, a real hub with its proxy, and the kit for learners.

Everything is what `python3 checks hub` writes; only paths, ports and account names are others.
"""

from __future__ import annotations

import os
import pwd
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import zipfile
from contextlib import suppress
from pathlib import Path
from urllib.request import urlopen

from checks.hub.codes import LEARNER, Pass, read_codes
from checks.hub.write import write_hub
from tests.checks.hub.view import within

FIRST_TUG = 11
_START_S = 300
_NO_SUCH_USER = 6
"""How userdel(8) ends then."""


def free_port() -> int:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


class School:
    """A class and its hub.

    Args:
        learners: How many there are.
        proxy: The folder in which npm has laid the proxy.
        more: Lines to add to the hub's configuration.
    """

    def __init__(self, learners: int, proxy: Path, more: str = "") -> None:
        mark = secrets.token_hex(2)
        # Not pytest's own folder: nobody but its owner gets through that.
        self.root = Path(tempfile.mkdtemp(prefix=f"school-{mark}-", dir="/tmp"))
        self.root.chmod(0o755)
        self.desk_account, self.accounts = f"desk-{mark}", list[str]()
        self.ports = {name: free_port() for name in ("80", "881", "882", "883")}
        self.address = f"http://127.0.0.1:{self.ports['80']}"
        self._hub: subprocess.Popen[bytes] | None = None
        self.folder = self.root / "folder"
        names = [f"{mark}-{k}.x" for k in range(learners)]
        self.roster = self.root / "class.csv"
        rows = [f"{name},Learner {k},{FIRST_TUG + k}" for k, name in enumerate(names)]
        self.roster.write_text("\n".join(["id,name,serial", *rows]) + "\n", encoding="utf-8")
        for _ in write_hub(self.folder, roster=self.roster, teacher=f"{mark}-ada"):
            pass
        self.passes = read_codes(self.folder / "codes.csv")
        self._lay_out(proxy, more)

    @property
    def hub_url(self) -> str:
        return f"http://127.0.0.1:{self.ports['881']}/hub/api"

    @property
    def learners(self) -> list[Pass]:
        return [one for one in self.passes if one.role == LEARNER]

    def home(self, who: Pass) -> Path:
        return self.root / "homes" / who.user

    def work(self, who: Pass) -> Path:
        return self.home(who) / "quayside-lessons"

    def account(self, who: Pass) -> pwd.struct_passwd:
        return pwd.getpwnam(f"seat-{who.user}")

    def _lay_out(self, proxy: Path, more: str) -> None:
        """Do what install.sh does, in the school's own folder."""
        for name, mode in (("etc", 0o700), ("state", 0o700), ("homes", 0o711), ("desk", 0o755)):
            (self.root / name).mkdir(mode=mode)
        self.add_account(self.desk_account, self.root / "desk")
        for name in ("inbound", "feedback"):
            (self.root / "desk" / name).mkdir()
        for path in (self.root / "desk", *(self.root / "desk").iterdir()):
            shutil.chown(path, self.desk_account, self.desk_account)
            path.chmod(0o2750)
        for one in self.passes:
            self.add_account(f"seat-{one.user}", self.root / "homes" / one.user)
        self.lay_kit("kit-1")
        shutil.copy(self.folder / "codes.csv", self.root / "etc")
        text = (self.folder / "jupyterhub_config.py").read_text(encoding="utf-8")
        for old, new in {
            "/etc/quayside": self.root / "etc", "/var/lib/quayside": self.root / "state",
            "/srv/quayside/desk": self.root / "desk", "/opt/quayside/proxy": proxy,
            '"quayside-desk"': f'"{self.desk_account}"', "http://:80": self.address,
            "881, 882, 883": ", ".join(str(self.ports[name]) for name in ("881", "882", "883")),
        }.items():  # fmt: skip
            assert old in text, old
            text = text.replace(old, str(new))
        (self.root / "etc" / "jupyterhub_config.py").write_text(f"{text}\n{more}", "utf-8")

    def lay_kit(self, name: str) -> Path:
        """Unpack the kit for learners, and let what starts from now on use it."""
        with zipfile.ZipFile(self.folder / "quayside.zip") as pack:
            pack.extractall(self.root / f"{name}.part")
        kit = (self.root / f"{name}.part" / "quayside").rename(self.root / name)
        # No account may write there, so what is not compiled now each process compiles anew.
        command = [sys.executable, "-m", "compileall", "-q", str(kit / "checks")]
        subprocess.run([*command, str(kit / "robotsim")], check=False)
        subprocess.run(["chmod", "-R", "u+rwX,go+rX,go-w", str(kit)], check=True)
        self.kit = kit
        return kit

    def add_account(self, name: str, home: Path) -> None:
        made = home.exists()
        command = ["useradd", "--badname", "--user-group", "--home-dir", str(home), "--no-log-init"]
        command += ["--no-create-home"] if made else ["--create-home", "--skel", "/nonexistent"]
        subprocess.run([*command, "--key", "UMASK=022", "--shell", "/usr/sbin/nologin", name],
                       check=True, capture_output=True)  # fmt: skip
        self.accounts.append(name)

    # -- the hub ---------------------------------------------------------------------

    def start(self) -> None:
        """Start the hub, and wait until it answers."""
        kept = {k: v for k, v in os.environ.items() if k in ("PATH", "LANG")}
        programs = str(Path(sys.executable).parent)
        env = {**kept, "PATH": f"{programs}:{kept['PATH']}", "HOME": str(self.root / "state"),
               "PYTHONPATH": str(self.kit)}  # fmt: skip
        config = self.root / "etc" / "jupyterhub_config.py"
        with (self.root / "hub.log").open("ab") as log:
            self._hub = subprocess.Popen(
                within([sys.executable, "-P", "-m", "jupyterhub", "-f", str(config)]),
                cwd=self.root / "state",
                env=env, stdout=log, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL,
                start_new_session=True,
            )  # fmt: skip
        end = time.monotonic() + _START_S
        while time.monotonic() < end and self._hub.poll() is None:
            with suppress(OSError), urlopen(f"{self.address}/hub/login", timeout=5):
                return
            time.sleep(0.3)
        raise AssertionError(f"the hub did not start:\n{self.log()[-3000:]}")

    def kill(self) -> None:
        """End the hub as a power cut of its own would: at once, without a word."""
        assert self._hub is not None
        self._hub.send_signal(signal.SIGKILL)
        self._hub.wait()
        self._hub = None

    def helpers(self) -> list[int]:
        """Give the processes that the hub has started for itself, seats aside."""
        found = []
        for place in Path("/proc").glob("[0-9]*"):
            with suppress(OSError):
                command = (place / "cmdline").read_bytes().decode().split("\0")
                around = (place / "environ").read_bytes()
                mine = f"JUPYTERHUB_API_URL={self.hub_url}".encode() in around
                own = {"checks.hub.desk", "checks.hub.leavers", "jupyterhub_idle_culler"}
                if mine and own & {*command}:
                    found.append(int(place.name))
        return found

    def log(self) -> str:
        return (self.root / "hub.log").read_text(encoding="utf-8", errors="replace")

    def end(self) -> None:
        """End everything that was started, and take accounts and folders away."""
        if self._hub is not None:
            self.kill()
        pid = self.root / "state" / "proxy.pid"
        if pid.is_file():
            with suppress(ProcessLookupError, ValueError):
                os.kill(int(pid.read_text()), signal.SIGTERM)
        _end_processes({pwd.getpwnam(name).pw_uid for name in self.accounts})
        left = [name for name in self.accounts if not _take_away(name)]
        shutil.rmtree(self.root, ignore_errors=True)
        assert not left, f"these accounts are still there: {left}"


def _take_away(account: str) -> bool:
    """Delete an account; somebody else may hold the system's list of them for a moment."""
    for _ in range(60):
        done = subprocess.run(["userdel", account], check=False, capture_output=True)
        if done.returncode in (0, _NO_SUCH_USER):
            return True
        time.sleep(0.5)
    return False


def processes_of(*uids: int) -> list[int]:
    """Give the processes of accounts that the school made."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):
            if place.stat().st_uid in uids:
                found.append(int(place.name))
    return found


def _end_processes(uids: set[int]) -> None:
    for _ in range(50):
        alive = processes_of(*uids)
        for pid in alive:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        if not alive:
            return
        time.sleep(0.05)
