"""Desk: the hub's service that takes work from learners and gives feedback back.

Who somebody is, the hub says; nobody types a name, and nobody can take another's.  The folder is
the desk's own: what lies there no learner can read, change or date back.

- `inbound/` has a folder for each notebook that was handed in, named as nbgrader's own exchange
  names it (0.9.6, ExchangeSubmit), so that `collect` takes it as it is.
- `room/` has the journals of what seats have told; its pages are for teachers.
- `feedback/ID/LESSON/` has what `python3 checks feedback COURSE --to DESK` has laid there.
"""

from __future__ import annotations

import argparse
import asyncio
import io
import json
import os
import pwd
import re
import sys
import time
import zipfile
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from jupyterhub.services.auth import HubOAuthCallbackHandler, HubOAuthenticated
from tornado import httpserver, web

from robotsim import KitError

from ..course.lessons import find_lessons
from ..course.shelf import mark_of
from ..room.message import BadMessage
from ..whole import write_whole
from .room import PAGES, HubRoom

__all__ = ["FEEDBACK", "INBOUND", "MOST", "MOST_BYTES", "ROOM", "main", "make_app", "store"]

INBOUND, FEEDBACK = "inbound", "feedback"
MOST_BYTES = 64 * 1024 * 1024
"""Of one notebook; `collect` takes no larger one."""
MOST, ROOM = 1000, 2 * 1024**3
"""Notebooks, and bytes of them, that the desk keeps of one learner."""
TEACHES = "custom:quayside:teach"
"""What a teacher may, by the hub's configuration, and nobody else."""
_USER = re.compile(r"[a-z0-9][a-z0-9._-]{0,63}")
_STAMP = "%Y-%m-%d %H:%M:%S.%f UTC"


def store(place: Path, user: str, lesson: str, data: bytes, now: datetime | None = None) -> str:
    """Keep a notebook that was handed in; what came last and is the same is not kept twice.

    Args:
        place: The desk's folder.
        user: Whose it is.
        lesson: Of which lesson it is.
        data: The notebook's file.
        now: When it came, in UTC; None for now.

    Returns:
        When it came, or when the same came before, as a text.

    Raises:
        KitError: It is none of a lesson, or one of too many.
    """
    known = {one.id for one in find_lessons()}
    if lesson not in known or not _USER.fullmatch(user) or not data:
        raise KitError("This is no notebook of a lesson.", hint="hand in from the home page.")
    files = sorted((place / INBOUND).glob(f"{user}+*/*.ipynb"))
    before = [file for file in files if file.stem == lesson]
    if before and mark_of(before[-1].read_bytes()) == mark_of(data):
        return before[-1].parent.name.split("+")[2]
    if len(files) >= MOST or sum(file.stat().st_size for file in files) + len(data) > ROOM:
        raise KitError("You have handed in so often that the desk keeps no more of you.",
                       hint="tell your teacher; what you handed in before is there.")  # fmt: skip
    when = (now or datetime.now(UTC)).strftime(_STAMP)
    part = place / INBOUND / f".{user}+{lesson}+{when}"
    write_whole(part / f"{lesson}.ipynb", data)
    part.rename(part.with_name(part.name[1:]))
    return when


def given_back(place: Path, user: str) -> bytes:
    """Give all feedback of one learner as one archive."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as pack:
        for file in sorted((place / FEEDBACK / user).glob("*/*")):
            if file.is_file() and not file.is_symlink():
                pack.write(file, f"{file.parent.name}/{file.name}")
    return data.getvalue()


class _Desk(HubOAuthenticated, web.RequestHandler):  # type: ignore[misc]
    """What both doors have in common: only whom the hub knows comes in."""

    def initialize(self, place: Path) -> None:
        self.place = place

    def check_xsrf_cookie(self) -> None:
        """Ask for no cookie of a form: who comes here shows a token, which no page can send."""

    async def user(self) -> str:
        """Give who asks, by the token that the hub gave them and by nothing else."""
        token = self.hub_auth.get_token(self, in_cookie=False)
        model = await self.hub_auth.user_for_token(token, sync=False) if token else None
        if not model or model.get("kind") != "user" or not self.hub_auth.check_scopes(
            self.hub_scopes, model
        ):  # fmt: skip
            raise web.HTTPError(403)
        return str(model["name"])

    def write_error(self, status_code: int, **kwargs: Any) -> None:
        """Say what is wrong in words, as a learner will read them."""
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        fault = (kwargs.get("exc_info") or (None, None))[1]
        self.finish(str(fault) if isinstance(fault, KitError) else f"{status_code}")


class Work(_Desk):
    """Takes a notebook."""

    async def put(self, lesson: str) -> None:
        """Keep it, and say when it came."""
        user = await self.user()
        try:
            self.finish(await asyncio.to_thread(store, self.place, user, lesson, self.request.body))
        except KitError:
            self.set_status(400)
            self.write_error(400, exc_info=sys.exc_info())


class Sent(_Desk):
    """Says what was handed in, without the work itself."""

    async def get(self) -> None:
        """List one's own: lesson and time."""
        user = await self.user()
        names = sorted(path.name for path in (self.place / INBOUND).glob(f"{user}+*"))
        self.finish(json.dumps([name.split("+")[1:3] for name in names]))


class Feedback(_Desk):
    """Gives feedback."""

    async def get(self) -> None:
        """Give all of one's own."""
        user = await self.user()
        self.set_header("Content-Type", "application/zip")
        self.finish(await asyncio.to_thread(given_back, self.place, user))


class Told(_Desk):
    """Takes what a seat tells the room."""

    async def put(self, what: str) -> None:
        """Take it in."""
        user = await self.user()
        try:
            self.settings["room"].tell(user, what, self.request.body, time.time())
        except BadMessage as fault:
            raise web.HTTPError(400, str(fault)) from fault
        self.set_status(204)


class RoomPage(HubOAuthenticated, web.RequestHandler):  # type: ignore[misc]
    """Shows the room to teachers, in their browser."""

    hub_scopes = frozenset({TEACHES})

    @web.authenticated
    async def get(self, which: str) -> None:
        """Show one of its pages."""
        self.set_header("Cache-Control", "no-store")
        self.finish(self.settings["room"].page(which, time.time()))


class Home(web.RequestHandler):
    """The notebooks' own link home, which knows of no hub."""

    def get(self) -> None:
        """Lead to the home page of whoever asks."""
        self.redirect("/hub/user-redirect/quayside")


def make_app(place: Path, prefix: str) -> web.Application:
    """Make the service.

    Args:
        place: The desk's folder.
        prefix: The address under which the hub serves it.
    """
    given = {"place": place}
    return web.Application([
        (rf"{prefix}work/([a-z]+)", Work, given),
        (rf"{prefix}work", Sent, given),
        (rf"{prefix}feedback", Feedback, given),
        (rf"{prefix}room({'|'.join(PAGES)})", RoomPage),
        (rf"{prefix}room/([a-z.]+)", Told, given),
        (rf"{prefix}oauth_callback", HubOAuthCallbackHandler),
        (r"/quayside/?", Home),
    ], room=HubRoom(place / "room"), cookie_secret=os.urandom(32))  # fmt: skip


def become(name: str) -> None:
    """Go on as another account of this machine, for good."""
    owner = pwd.getpwnam(name)
    os.setgroups([])
    os.setgid(owner.pw_gid)
    os.setuid(owner.pw_uid)


async def serve(place: Path, account: str) -> None:
    """Serve until stopped, or until the hub is gone: the next one starts a desk of its own.

    The port is taken first, since only the system may have it; a desk that the last hub has left
    behind is given time to go.
    """
    hub = os.getppid()
    address = urlsplit(os.environ["JUPYTERHUB_SERVICE_URL"])
    app = make_app(place, os.environ["JUPYTERHUB_SERVICE_PREFIX"])
    server = httpserver.HTTPServer(app, max_buffer_size=2 * MOST_BYTES, max_body_size=MOST_BYTES)
    for patience in reversed(range(20)):
        try:
            server.listen(address.port or 80, address.hostname or "127.0.0.1")
            break
        except OSError:
            if not patience:
                raise
            await asyncio.sleep(0.5)
    if account:
        become(account)
    os.umask(0o027)
    while os.getppid() == hub:
        await asyncio.sleep(0.5)


def main(arguments: Sequence[str] | None = None) -> int:
    """Serve, as the hub's configuration says."""
    parser = argparse.ArgumentParser(prog="python -m checks.hub.desk")
    parser.add_argument("place", type=Path, metavar="FOLDER")
    parser.add_argument("--account", default="", metavar="NAME")
    options = parser.parse_args(arguments)
    with suppress(KeyboardInterrupt):  # so the hub ends it
        asyncio.run(serve(options.place, options.account))
    return 0


if __name__ == "__main__":
    sys.exit(main())
