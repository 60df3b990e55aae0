"""Server: the home's pages within Jupyter's own server, behind its token, for this machine."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from jupyter_server.base.handlers import JupyterHandler
from tornado import web

from robotsim import KitError
from robotsim.notebook import own_serial

from ..course.lessons import pick_lessons
from ..desk import Desk, desk_here
from ..room.card import read_card
from ..room.join import enter_at_hub, leave_room
from .deeds import begin_anew, change_tug, hand_in, look_first, make_playground
from .handing import feedback_pages, fetch_feedback, hand_over
from .layout import RULES
from .pages import ALL_THE_SAME, home_page, summary_page
from .progress import look
from .reference import board_page, tug_page

__all__ = ["Anew", "Feedback", "HandIn", "Home", "Playground", "Reference", "Summary", "Tug"]


class _Page(JupyterHandler):
    """What all of the home's pages have in common."""

    @property
    def content_security_policy(self) -> str:
        """The rules for what a page may do."""
        return RULES

    @property
    def folder(self) -> Path:
        """The learner's folder, which Jupyter serves."""
        return Path(self.settings["server_root_dir"]).expanduser()

    def serial(self) -> int | str:
        """Give the number of the learner's tug, or what is wrong with its card."""
        try:
            return own_serial(self.folder)
        except KitError as trouble:
            return str(trouble)

    def in_room(self) -> bool:
        """Tell whether the learner is in the room today."""
        try:
            card = read_card(self.folder)
        except KitError:
            return False
        return card is not None and card.holds

    def show(self, html: str) -> None:
        """Send a page, which no browser keeps: it is another one after every check."""
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.set_header("Cache-Control", "no-store")
        self.finish(html)

    @property
    def way_home(self) -> str:
        """The address of the home page."""
        return f"{self.base_url}quayside"

    def home(self, said: str = "", *, anyway: bool = False) -> None:
        """Send the home page; `anyway` says that a file to hand in waits for a second word."""
        token = self.xsrf_form_html()
        if isinstance(token, bytes):
            token = token.decode()
        self.show(home_page(
            look(self.folder), self.serial(), base=self.base_url, token=token, said=said,
            desk=desk_here() is not None, anyway=anyway, feedback=feedback_pages(self.folder),
            newer=sorted(path.name for path in self.folder.glob("*(new version*).ipynb")),
            person=os.environ.get("JUPYTERHUB_USER", ""),
            in_room=self.in_room(),
            code_page=os.environ.get("QUAYSIDE_CODE_PAGE", ""),
            teaches=bool(os.environ.get("QUAYSIDE_TEACHES")),
        ))  # fmt: skip


    async def at_the_desk(self, do: Callable[[Desk, Path], str]) -> None:
        """Do something at the teacher's desk, and show what came of it."""
        try:
            desk = desk_here()
            if desk is None:
                raise KitError("There is no teacher's desk here.",
                               hint="get the file to hand in, and give it to them.")  # fmt: skip
            self.home(await asyncio.to_thread(do, desk, self.folder))
        except KitError as trouble:
            self.set_status(400)
            self.home(str(trouble))


class Home(_Page):
    """The home page."""

    @web.authenticated
    def get(self) -> None:
        """Show it."""
        self.home()


_STILL_OPEN = (
    "\nIt is still open in JupyterLab: close it there without saving, and open it anew from here."
)


class Anew(_Page):
    """Begins a lesson anew."""

    @web.authenticated
    async def post(self) -> None:
        """Do it, end the lesson's kernel, and show what was done."""
        name = self.get_body_argument("lesson", "")
        try:
            (lesson,) = pick_lessons([name])
            still = _STILL_OPEN if await self._end_kernel(lesson.file) else ""
            kept = await asyncio.to_thread(begin_anew, self.folder, name)
            places = " and ".join(f"{place.parent.name}/{place.name}" for place in kept)
            where = f" Your work so far is in {places}." if kept else ""
            self.home(f"{lesson.title} is as it was handed out.{where}{still}")
        except KitError as trouble:
            self.set_status(400)
            self.home(str(trouble))

    async def _end_kernel(self, file: str) -> bool:
        """End the kernels of a file, and tell whether a page was still speaking with one."""
        sessions: Any = self.session_manager
        own = [one for one in await sessions.list_sessions() if one["path"] == file]
        for one in own:
            await sessions.delete_session(one["id"])
        return any(one["kernel"].get("connections") for one in own)


class Tug(_Page):
    """Changes the number of the learner's tug."""

    @web.authenticated
    def post(self) -> None:
        """Do it, and show what was done."""
        try:
            self.home(change_tug(self.folder, self.get_body_argument("serial", "")))
        except KitError as trouble:
            self.set_status(400)
            self.home(str(trouble))


class HandIn(_Page):
    """Takes one's work to the teacher's desk, or gives it as one file where there is none."""

    @web.authenticated
    async def post(self) -> None:
        """Hand in, and show what was done."""
        await self.at_the_desk(hand_over)

    @web.authenticated
    async def get(self) -> None:
        """Send the file; where nothing in it would count, first say so."""
        try:
            asked = self.get_query_argument("anyway", "")
            words = "" if asked else await asyncio.to_thread(look_first, self.folder)
            if words:
                self.home(f"Look before you hand in.\n{words}\n“{ALL_THE_SAME}”, below, gives it as"
                          " it is.", anyway=True)  # fmt: skip
                return
            data = hand_in(self.folder)
        except KitError as trouble:
            self.set_status(400)
            self.home(str(trouble))
            return
        name = f"quayside-work-{date.today():%Y-%m-%d}.zip"
        self.set_header("Content-Type", "application/zip")
        self.set_header("Content-Disposition", f'attachment; filename="{name}"')
        self.finish(data)


class Feedback(_Page):
    """Fetches feedback from the teacher's desk."""

    @web.authenticated
    async def post(self) -> None:
        """Fetch it, and show what has come."""
        await self.at_the_desk(fetch_feedback)


class Room(_Page):
    """Lets the learner into the room of their class's server, and out again."""

    @web.authenticated
    async def post(self) -> None:
        """Do it, and show what was done."""
        try:
            if self.get_body_argument("leave", ""):
                await asyncio.to_thread(leave_room, self.folder)
                self.home("You have left the room. What was told is taken back.")
            else:
                user = os.environ.get("JUPYTERHUB_USER", "")
                await asyncio.to_thread(enter_at_hub, user, self.folder)
                self.home("You are in the room until tonight.")
        except KitError as trouble:
            self.set_status(400)
            self.home(str(trouble))


class Playground(_Page):
    """Opens the playground, which is made when it is first asked for."""

    @web.authenticated
    def get(self) -> None:
        """Make it if need be, and lead to it."""
        try:
            self.redirect(f"{self.base_url}lab/tree/{make_playground(self.folder)}")
        except KitError as trouble:
            self.set_status(400)
            self.home(str(trouble))


class Summary(_Page):
    """One page on what was learnt."""

    @web.authenticated
    def get(self) -> None:
        """Show it."""
        self.show(summary_page(look(self.folder), self.serial(), date.today(), self.way_home))


class Reference(_Page):
    """The two pages of reference."""

    @web.authenticated
    def get(self, which: str) -> None:
        """Show one of them."""
        self.show(tug_page(self.way_home) if which == "tug" else board_page(self.way_home))


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    """Tell Jupyter's server where to load the pages from; it asks by this name."""
    return [{"module": __name__}]


def _load_jupyter_server_extension(app: Any) -> None:
    """Put the pages into a server; it calls this by its name."""
    base = app.web_app.settings["base_url"].rstrip("/") + "/quayside"
    places = {
        "": Home, "/anew": Anew, "/tug": Tug, "/hand-in": HandIn, "/feedback": Feedback,
        "/room": Room, "/summary": Summary, "/playground": Playground,
        "/reference/(tug|board)": Reference,
    }  # fmt: skip
    app.web_app.add_handlers(".*$", [(base + place, page) for place, page in places.items()])
