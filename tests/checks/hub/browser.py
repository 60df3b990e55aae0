"""A browser at a hub, as far as it speaks HTTP and websocket: logs in, opens a lesson, runs it."""

from __future__ import annotations

import asyncio
import json
import re
import time
import uuid
from dataclasses import dataclass, field
from typing import Any, Self

import aiohttp

from checks.hub.codes import Pass

NAVIGATES = {"Sec-Fetch-Mode": "navigate", "Sec-Fetch-Site": "same-origin",
             "Sec-Fetch-Dest": "document"}  # fmt: skip
"""What a browser says of a page that it goes to (W3C, Fetch Metadata)."""

PATIENCE_S = 600
"""For a seat: whole classes come at once to machines that others use too."""


@dataclass
class Ran:
    """What came of a cell."""

    status: str = ""
    printed: str = ""
    result: str = ""
    error: str = ""
    html: str = ""


@dataclass
class Browser:
    """One learner's browser.

    Attributes:
        address: The hub's.
        who: The learner.
    """

    address: str
    who: Pass
    spawn_s: float = 0.0
    _web: aiohttp.ClientSession = field(init=False, repr=False)
    _lessons: list[Lesson] = field(default_factory=list, repr=False)

    async def __aenter__(self) -> Self:
        self._web = aiohttp.ClientSession(
            cookie_jar=aiohttp.CookieJar(unsafe=True), timeout=aiohttp.ClientTimeout(total=900)
        )
        return self

    async def __aexit__(self, *_: object) -> None:
        await asyncio.gather(*(lesson.close() for lesson in self._lessons))
        await self._web.close()

    @property
    def base(self) -> str:
        return f"{self.address}/user/{self.who.user}"

    async def log_in(self, code: str | None = None) -> bool:
        """Give name and code at the door; tell whether it opened."""
        return await self.knock(code) is None

    async def knock(self, code: str | None = None) -> str | None:
        """Give name and code at the door; the page of who is refused, None if it opened."""
        page = f"{self.address}/hub/login"
        async with self._web.get(page, headers=NAVIGATES):
            pass
        given = {"username": self.who.user, "password": self.who.code if code is None else code}
        async with self._web.post(page, params={"_xsrf": self._xsrf("/hub/login")}, data=given,
                                  headers=NAVIGATES, allow_redirects=False) as answer:  # fmt: skip
            return None if answer.status == 302 else await answer.text()

    async def change_code(self, *typed: str) -> str:
        """Give the code of now, the new one, and that once more, to change it; the page."""
        page = f"{self.address}/hub/auth/change-password"
        async with self._web.get(page, headers=NAVIGATES) as answer:
            text = await answer.text()
        if not typed:
            return text
        given = dict(zip(("now", "code", "again"), typed, strict=True))
        async with self._web.post(page, params={"_xsrf": self._xsrf("/hub/auth/")}, data=given,
                                  headers=NAVIGATES) as answer:  # fmt: skip
            return await answer.text()

    async def open_seat(self) -> str:
        """Go to one's seat and wait until the home page is there; give its HTML."""
        began = time.monotonic()
        async with self._web.get(f"{self.address}/hub/spawn", headers=NAVIGATES) as answer:
            assert answer.status < 400, await answer.text()
        while time.monotonic() < began + PATIENCE_S:
            text = await self.page("/quayside")
            if "<h2>Lessons</h2>" in text:
                self.spawn_s = time.monotonic() - began
                return text
            assert "Spawn failed" not in text and "Error:" not in text, text
            await asyncio.sleep(0.1)
        raise AssertionError(f"{self.who.user}: no seat after {PATIENCE_S} s")

    async def enter(self) -> str:
        """Log in and go to one's seat, which may be running already; give the home page."""
        assert await self.log_in()
        return await self.open_seat()

    async def forget(self, user: str) -> int:
        """Delete somebody, as a teacher does on the hub's admin page; the answer's status."""
        await self.page("/hub/home", self.address)
        head = {"X-XSRFToken": self._xsrf("/hub/"), "Referer": f"{self.address}/hub/admin"}
        return await self.status("DELETE", f"{self.address}/hub/api/users/{user}", headers=head)

    async def leave_seat(self) -> None:
        """End one's seat, as the button on the hub's page does."""
        head = {"X-XSRFToken": self._xsrf("/hub/"), "Referer": f"{self.address}/hub/home"}
        where = f"{self.address}/hub/api/users/{self.who.user}/server"
        assert await self.status("DELETE", where, headers=head) in (202, 204)

    async def page(self, path: str, base: str | None = None) -> str:
        """Open a page of one's seat, or another's."""
        where = (self.base if base is None else base) + path
        async with self._web.get(where, headers=NAVIGATES) as answer:
            return await answer.text()

    async def status(self, method: str, address: str, **given: Any) -> int:
        """Give the status with which something is answered, redirects aside."""
        async with self._web.request(method, address, allow_redirects=False, **given) as answer:
            await answer.read()
            return answer.status

    async def press(self, path: str, **fields: str) -> str:
        """Press the button of a form on the home page; give the words that it answers with."""
        await self.page("/quayside")
        form = {"_xsrf": self._xsrf(f"/user/{self.who.user}/"), **fields}
        async with self._web.post(f"{self.base}{path}", data=form, headers=NAVIGATES) as answer:
            text = await answer.text()
        found = re.search(r"role='status'>(.*?)</p>", text)
        assert found, text[:2000]
        return found[1]

    async def api(self, method: str, path: str, body: Any = None) -> Any:
        """Ask Jupyter's server in one's seat, as its page does."""
        head = {"X-XSRFToken": self._xsrf(f"/user/{self.who.user}/")}
        where = f"{self.base}/api/{path}"
        async with self._web.request(method, where, json=body, headers=head) as answer:
            assert answer.status < 400, (answer.status, await answer.text())
            return await answer.json() if answer.status != 204 else None

    async def open_lesson(self, file: str) -> Lesson:
        """Open a notebook with its kernel."""
        notebook = (await self.api("GET", f"contents/{file}?content=1"))["content"]
        session = await self.api("POST", "sessions", {
            "path": file, "type": "notebook", "name": file, "kernel": {"name": "python3"},
        })  # fmt: skip
        return await self.join(notebook, file, session["kernel"]["id"])

    async def join(self, notebook: Any, file: str, kernel: str) -> Lesson:
        """Connect with a kernel that is there."""
        mark = uuid.uuid4().hex
        where = f"{self.base}/api/kernels/{kernel}/channels?session_id={mark}"
        line = await self._web.ws_connect(where.replace("http", "ws", 1), max_msg_size=0)
        self._lessons.append(Lesson(self, file, notebook, kernel, line, mark))
        return self._lessons[-1]

    def _xsrf(self, path: str) -> str:
        found = [one for one in self._web.cookie_jar if one.key == "_xsrf"]
        nearest = [one for one in found if path.startswith(one["path"])]
        return max(nearest, key=lambda one: len(one["path"])).value


@dataclass
class Lesson:
    """A notebook that is open.

    Its line is listened to all the while, as a page's is: who listens only while a cell runs
    answers no ping before it, and after a minute and a half the server gives the line up.
    """

    browser: Browser
    file: str
    notebook: Any
    kernel: str
    line: aiohttp.ClientWebSocketResponse
    mark: str
    heard: asyncio.Queue[Any] = field(default_factory=asyncio.Queue, repr=False)
    """What the kernel said, and at the end None."""

    def __post_init__(self) -> None:
        self._listening = asyncio.create_task(self.listen())

    async def close(self) -> None:
        """Close the line, as a page that is left does."""
        await self.line.close()
        await self._listening

    async def listen(self) -> None:
        """Hear what comes until the line ends."""
        async for got in self.line:
            if got.type is aiohttp.WSMsgType.TEXT:
                self.heard.put_nowait(json.loads(got.data))
        self.heard.put_nowait(None)

    async def run(self, code: str, within: float = 900.0) -> Ran:
        """Run a cell."""
        header = {"msg_id": uuid.uuid4().hex, "msg_type": "execute_request", "session": self.mark,
                  "username": "", "version": "5.3", "date": ""}  # fmt: skip
        content = {"code": code, "silent": False, "store_history": True, "user_expressions": {},
                   "allow_stdin": False, "stop_on_error": False}  # fmt: skip
        asked = {"header": header, "parent_header": {}, "metadata": {}, "content": content,
                 "channel": "shell", "buffers": []}  # fmt: skip
        await self.line.send_str(json.dumps(asked))
        ran, idle = Ran(), False
        async with asyncio.timeout(within):
            while not (ran.status and idle):
                message = await self.heard.get()
                assert message, f"{self.file} of {self.browser.who.user}: its line has ended"
                if message["parent_header"].get("msg_id") != header["msg_id"]:
                    continue
                idle |= _note(ran, message["msg_type"], message["content"])
        return ran

    async def run_all(self, notebook: Any) -> dict[str, str]:
        """Run a notebook's cells in turn and save it; give each check with the points shown."""
        shown = {}
        for count, cell in enumerate(notebook.cells, 1):
            if cell.cell_type != "code":
                continue
            ran = await self.run(cell.source)
            assert ran.status == "ok", (cell.source, ran)
            cell.execution_count = count
            cell.outputs = []
            if found := re.search(r'^check\("([\w.]+)"\)', cell.source, re.M):
                shown[found[1]] = ran.result
                cell.outputs = [{"output_type": "execute_result", "execution_count": count,
                                 "metadata": {}, "data": {"text/plain": ran.result}}]  # fmt: skip
        await self.save(notebook)
        return shown

    async def save(self, notebook: Any) -> None:
        """Save the notebook, as Ctrl + S does."""
        saved = {"type": "notebook", "format": "json", "content": notebook}
        await self.browser.api("PUT", f"contents/{self.file}", saved)


def _note(ran: Ran, kind: str, content: Any) -> bool:
    """Note a message; tell whether the kernel says that it has done."""
    if kind == "execute_reply":
        ran.status = content["status"]
    elif kind == "stream":
        ran.printed += content["text"]
    elif kind == "execute_result":
        ran.result = content["data"]["text/plain"]
        ran.html += content["data"].get("text/html", "")
    elif kind == "error":
        ran.error = f"{content['ename']}: {content['evalue']}"
    return kind == "status" and content["execution_state"] == "idle"
