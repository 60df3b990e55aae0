"""Spawning: how the hub starts a learner's seat, as an account of the machine that is theirs.

Accounts begin with `seat-`, so that no name of a roster can be one of the system's own.
"""

from __future__ import annotations

import asyncio
import logging
import os
import pwd
import resource
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from firstuseauthenticator import FirstUseAuthenticator
from jupyterhub.spawner import LocalProcessSpawner
from systemdspawner import SystemdSpawner
from traitlets import Integer

from ..course.lessons import ROOT
from .codes import GONE, TEACHER, Pass, read_codes

__all__ = [
    "ACCOUNT", "LocalSeat", "OwnPort", "SeatError", "Seats", "SystemdSeat", "environment",
    "listeners",
]  # fmt: skip

ACCOUNT = "seat-{USERNAME}"
"""The account of a user."""
_PATIENCE_S = 120
_PORTS, _LOOK_S = 3, 0.25
_LISTENS = "0A"
"""A socket that listens, in proc(5)'s tables of TCP."""


class SeatError(Exception):
    """Why no seat could be made ready; the hub shows `jupyterhub_message` to the learner."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.jupyterhub_message = words


class Seats:
    """The seats of a class.

    Args:
        codes: The file of codes.
    """

    def __init__(self, codes: Path) -> None:
        self.codes = codes
        # A whole class comes at once: so many are served at a time, and the others wait their turn.
        self._turn = asyncio.Semaphore(2 * (os.cpu_count() or 1))

    def admit(self, passwords: Path) -> set[str]:
        """Note the codes of all who have no password yet; give the names of all who have a code.

        Args:
            passwords: The authenticator's own file.
        """
        quiet = logging.getLogger(__name__)  # else a line for each, which does not say who
        quiet.setLevel(logging.WARNING)
        keeper = FirstUseAuthenticator(
            dbm_path=str(passwords), check_passwords_on_startup=False, log=quiet
        )
        known = _known(passwords)
        for one in self._class():
            if one.user not in known:
                keeper.reset_password(one.user, one.code)
        return {one.user for one in self._class()}

    def _class(self) -> list[Pass]:
        return [one for one in read_codes(self.codes) if one.role != GONE]

    def teachers(self) -> set[str]:
        """Give the names of the teachers, who may use the hub's own page of administration."""
        return {one.user for one in read_codes(self.codes) if one.role == TEACHER}

    async def hand_out(self, spawner: Any) -> None:
        """Lay the lessons out before a seat starts, as its learner and without keeping the hub.

        Raises:
            SeatError: It could not be done.
        """
        name = spawner.user.name
        try:
            owner = pwd.getpwnam(ACCOUNT.format(USERNAME=name))
        except KeyError as fault:
            raise SeatError(f"There is no account for {name} on this server yet. Tell your teacher:"
                            " the installer makes it.") from fault  # fmt: skip
        _close(Path(owner.pw_dir))
        mine = [one for one in self._class() if one.user == name]
        if not mine:
            raise SeatError(f"{name} is in this class no more. Is that wrong? Tell your teacher.")
        async with self._turn:
            said, code = await _lay_out(owner, mine[0].tug)
        if code:
            words = said.strip()[-600:]
            spawner.log.error("The lessons of %s: %s", name, words)
            raise SeatError(f"Your lessons could not be laid out. Tell your teacher: {words}")


class OwnPort:
    """A seat whose server comes to stand at its port itself, or is started anew at another one.

    The hub draws a port and its server binds it seconds later.  If somebody has taken it meanwhile,
    the hub would hear them answer, and lead the learner there.
    """

    log: Any
    user: Any
    poll: Any
    stop: Any
    port: int
    api_token: str

    async def start(self) -> Any:
        """Start the server; give its address once the learner's account listens there.

        Raises:
            SeatError: It did not come to that.
        """
        owner = pwd.getpwnam(ACCOUNT.format(USERNAME=self.user.name)).pw_uid
        spawners: Any = super()
        token = self.api_token
        for _ in range(_PORTS):
            # A port is drawn where there is none; whatever ends a server forgets its token.
            self.port, self.api_token = 0, token
            address = await spawners.start()
            while not (there := listeners(self.port)) and await self.poll() is None:
                await asyncio.sleep(_LOOK_S)
            if there == {owner}:
                return address
            why = "is somebody else's" if there else "was never listened at: see the lines before"
            self.log.warning("%s's port %s %s; they get another", self.user.name, self.port, why)
            await self.stop(now=True)
        raise SeatError("Your seat did not start. Try again in a minute; if it stays so, tell your"
                        " teacher: the hub's log says why.")  # fmt: skip


class SystemdSeat(OwnPort, SystemdSpawner):  # type: ignore[misc]
    """A seat under systemd, which holds what the whole of it takes."""


class LocalSeat(OwnPort, LocalProcessSpawner):  # type: ignore[misc]
    """A seat without systemd: a process of the learner's account, held by the kernel's own limits.

    `mem_limit` holds each process by itself, not a seat as a whole, and `cpu_limit` is not held.
    """

    tasks_limit = Integer(200, help="The most processes and threads of one learner.").tag(
        config=True
    )

    def make_preexec_fn(self, name: str) -> Callable[[], None]:
        """Give what makes a new process the learner's, with its limits."""
        become = super().make_preexec_fn(ACCOUNT.format(USERNAME=name))
        memory, tasks = self.mem_limit, self.tasks_limit

        def begin() -> None:
            os.umask(0o077)
            resource.setrlimit(resource.RLIMIT_NPROC, (tasks, tasks))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
            if memory:
                resource.setrlimit(resource.RLIMIT_DATA, (memory, memory))
            become()

        return begin

    def user_env(self, env: dict[str, str]) -> dict[str, str]:
        """Add what says to a process whose it is."""
        owner = pwd.getpwnam(ACCOUNT.format(USERNAME=self.user.name))
        return {**env, "USER": owner.pw_name, "HOME": owner.pw_dir, "SHELL": "/bin/sh"}


def listeners(port: int) -> set[int]:
    """Give the accounts that listen at a TCP port of this machine."""
    rows = [row.split() for kind in ("tcp", "tcp6") if (place := Path("/proc/net", kind)).exists()
            for row in place.read_text("ascii").splitlines()[1:]]  # fmt: skip
    return {int(row[7]) for row in rows
            if row[3] == _LISTENS and int(row[1].rpartition(":")[2], 16) == port}  # fmt: skip


async def _lay_out(owner: pwd.struct_passwd, tug: int | None) -> tuple[str, int | None]:
    """Hand lessons out as their owner; give what was said, and the exit code."""
    process = await asyncio.create_subprocess_exec(
        sys.executable, "-P", "-m", "checks.hub.seat", "--tug", "" if tug is None else str(tug),
        cwd=owner.pw_dir, env={**_plain(), "HOME": owner.pw_dir}, user=owner.pw_uid,
        group=owner.pw_gid, extra_groups=[], stdin=asyncio.subprocess.DEVNULL,
        stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.STDOUT,
    )  # fmt: skip
    try:
        said, _ = await asyncio.wait_for(process.communicate(), _PATIENCE_S)
    except TimeoutError as fault:
        process.kill()
        raise SeatError(f"Your lessons were not laid out within {_PATIENCE_S} s. Try again; if it"
                        " stays so, tell your teacher: the server is busy, or its disk is"
                        " full.") from fault  # fmt: skip
    return said.decode("utf-8", "replace"), process.returncode


def _plain() -> dict[str, str]:
    """Give an environment without the hub's secrets."""
    kept = ("PATH", "LANG", "LC_ALL", "PYTHONPATH")
    return {name: os.environ[name] for name in kept if name in os.environ} | {
        "PYTHONNOUSERSITE": "1", "PYTHONUTF8": "1",
    }  # fmt: skip


def _close(home: Path) -> None:
    """Let nobody but its owner into a home."""
    if home.stat().st_mode & 0o077:
        home.chmod(0o700)


def _known(passwords: Path) -> set[str]:
    import dbm

    try:
        with dbm.open(str(passwords), "r") as kept:
            return {name.decode() if isinstance(name, bytes) else name for name in kept.keys()}
    except dbm.error:
        return set()


def environment(desk: str, code_page: str = "") -> dict[str, Any]:
    """Give what a seat's server finds in its environment: the kit's settings, the teacher's desk.

    What differs from seat to seat is a function of the seat, as the hub takes it.

    Args:
        desk: The address of the desk; "" for none.
        code_page: Where learners change their code; "" where they cannot.
    """
    place = str(ROOT / "checks" / "jupyter")
    return {
        "JUPYTER_CONFIG_PATH": os.pathsep.join([place, str(ROOT / "checks" / "hub" / "settings")]),
        "JUPYTER_PATH": place, "JUPYTER_PREFER_ENV_PATH": "1",
        "PYTHONNOUSERSITE": "1", "QUAYSIDE_DESK": desk, "QUAYSIDE_CODE_PAGE": code_page,
        "QUAYSIDE_TEACHES": lambda seat: "1" if seat.user.admin else "",
        # Numpy's library would start a thread for each core of the machine, in every kernel.
        "OPENBLAS_NUM_THREADS": "1",
    }  # fmt: skip
