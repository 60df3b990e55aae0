"""Page: the page of `live`, on which a browser shows what the plugged tug does."""

from __future__ import annotations

import json
import secrets
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from ..live.address import LOOPBACK
from ..live.pad import look_now, pad_script, pad_style
from ..show.player import table_data
from .plug import Plug

__all__ = ["Page"]

_HEAD = """<!doctype html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width"><link rel="icon" href="data:,">
<title>{title}</title><style>{style}
body {{ margin: 16px; font-family: sans-serif }}
.quay-live :is(.quay-pad, .quay-live-fast, .quay-live-order, .quay-stop) {{ display: none }}
.quay-live :is(.quay-link, .quay-live-log) {{ display: none }}
</style><main id="place"></main><p id="seen"></p><script type="module">
{script}
const told = {{ scene: {scene}, look: {look}, lines: [], running: true }}, heard = {{}};
const model = {{
  get: (name) => told[name], send: () => {{}},
  on: (name, act) => {{ (heard[name] ||= []).push(act); }},
}};
const change = (name, value) => {{
  told[name] = value;
  for (const act of heard[`change:${{name}}`] || []) act();
}};
render({{ model, el: document.getElementById("place") }});
setInterval(async () => {{
  try {{
    const look = await (await fetch("look")).json();
    change("look", look);
    document.getElementById("seen").textContent = look.seen;
    if (!told.running) change("running", true);
  }} catch {{
    if (told.running) change("running", false);
  }}
}}, 150);
</script></html>"""


class Page:
    """A page at an address of this computer alone, which nobody can guess.

    Args:
        plug: The tug that it shows.
    """

    def __init__(self, plug: Plug) -> None:
        key = secrets.token_urlsafe(12)

        class Asked(BaseHTTPRequestHandler):
            def do_GET(self) -> None:  # the library's own name
                body, kind = b"", "text/plain"
                if self.path == f"/{key}/":
                    body, kind = _text(plug).encode(), "text/html; charset=utf-8"
                elif self.path == f"/{key}/look":
                    body, kind = json.dumps(_look(plug)).encode(), "application/json"
                self.send_response(200 if body else 404)
                self.send_header("Content-Type", kind)
                self.send_header("Cache-Control", "no-store")
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *words: Any) -> None:
                """Say nothing."""

        self._server = ThreadingHTTPServer((LOOPBACK, 0), Asked)
        self.address = f"http://{LOOPBACK}:{self._server.server_address[1]}/{key}/"
        threading.Thread(target=self._server.serve_forever, name="page", daemon=True).start()

    def close(self) -> None:
        """Take the page away."""
        self._server.shutdown()
        self._server.server_close()


def _look(plug: Plug) -> dict[str, Any]:
    """Give how the tug stands, and what somebody would say who watches it."""
    tug = plug.tug
    seen = f"{tug.eyes.words(tug.clock.now_ns)} {tug.hands.words}"
    return {**look_now(plug.look), "seen": seen}


def _text(plug: Plug) -> str:
    about = "What its board does is shown here; it is steered over the cable."
    scene = {
        **table_data(plug.tug.world.table),
        "title": f"{plug.name}, plugged in at {' and '.join(plug.ports)}",
        "words": f"{about} {plug.order.twin.words}" if plug.order.twin else about,
    }  # fmt: skip
    # A closing tag within the data would end the script.
    data, look = (json.dumps(x).replace("</", "<\\/") for x in (scene, _look(plug)))
    parts = {"title": plug.name, "style": pad_style(), "script": pad_script()}
    return _HEAD.format(**parts, scene=data, look=look)
