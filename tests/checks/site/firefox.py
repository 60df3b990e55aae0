"""Firefox by WebDriver BiDi, which it speaks itself: as much of it as a test of a site needs.

*Source*: WebDriver BiDi, W3C, https://www.w3.org/TR/webdriver-bidi/ (sessions, browsing contexts,
script evaluation and input actions).
"""

from __future__ import annotations

import itertools
import json
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import websocket

_KEYS = {"Shift": "\ue008", "Enter": "\ue007"}


class Tab:
    """A tab of a running Firefox."""

    def __init__(self, line: websocket.WebSocket) -> None:
        self._line, self._numbers = line, itertools.count(1)
        self.ask("session.new", capabilities={})
        self._tab = self.ask("browsingContext.getTree")["contexts"][0]["context"]

    def ask(self, method: str, **params: Any) -> dict[str, Any]:
        """Send a command; give its result."""
        number = next(self._numbers)
        self._line.send(json.dumps({"id": number, "method": method, "params": params}))
        while True:
            told: dict[str, Any] = json.loads(self._line.recv())
            if told.get("id") == number:
                assert told["type"] == "success", told
                found: dict[str, Any] = told["result"]
                return found

    def go(self, address: str) -> None:
        """Open an address."""
        self.ask("browsingContext.navigate", context=self._tab, url=address, wait="complete")

    def say(self, expression: str) -> Any:
        """Give what a JavaScript expression comes to in the page, as JSON has it."""
        told = self.ask(
            "script.evaluate", expression=f"(async () => JSON.stringify(await ({expression})))()",
            target={"context": self._tab}, awaitPromise=True,
        )  # fmt: skip
        assert told["type"] == "success", told
        return json.loads(told["result"].get("value", "null"))

    def wait_for(self, expression: str, seconds: float = 120.0) -> None:
        """Wait until an expression holds."""
        end = time.monotonic() + seconds
        while not self.say(expression):
            assert time.monotonic() < end, expression
            time.sleep(0.3)

    def press(self, *keys: str) -> None:
        """Press keys together."""
        names = [_KEYS.get(key, key) for key in keys]
        deeds = [{"type": "keyDown", "value": name} for name in names]
        deeds += [{"type": "keyUp", "value": name} for name in reversed(names)]
        self.ask("input.performActions", context=self._tab,
                 actions=[{"type": "key", "id": "keys", "actions": deeds}])  # fmt: skip


@contextmanager
def firefox_tab(program: str, profile: Path) -> Iterator[Tab]:
    """Start a Firefox of its own, and end it."""
    profile.mkdir()
    command = [program, "--headless", "--no-remote", "--profile", str(profile),
               "--remote-debugging-port", "0", "about:blank"]  # fmt: skip
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as process:
        assert process.stderr
        try:
            row = next(row for row in process.stderr if "listening on ws" in row)
            # What else it says must go somewhere, or it waits for a reader.
            threading.Thread(target=process.stderr.read, daemon=True).start()
            line = websocket.create_connection(
                f"{row.split()[-1]}/session", timeout=180, suppress_origin=True
            )
            try:
                yield Tab(line)
            finally:
                line.close()
        finally:
            process.kill()
