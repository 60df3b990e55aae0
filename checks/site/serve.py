"""Serve: the site on this computer, to look at it or for a room without a web space."""

from __future__ import annotations

import functools
import http.server
import sys
import threading
from pathlib import Path
from typing import Any

from robotsim import KitError

from ..shown import say
from ..words import typed

__all__ = ["open_server", "serve_site"]


class _Quiet(http.server.SimpleHTTPRequestHandler):
    """Hands files out, with the kinds that browsers insist on, whatever this system says."""

    protocol_version = "HTTP/1.1"
    extensions_map = {
        **http.server.SimpleHTTPRequestHandler.extensions_map,
        ".js": "text/javascript", ".mjs": "text/javascript", ".wasm": "application/wasm",
        ".json": "application/json",
    }  # fmt: skip

    def log_message(self, *_: Any) -> None:
        """Say nothing of each file."""

    def end_headers(self) -> None:
        """Let a browser keep what carries its hash in its name."""
        if self.path.startswith("/quayside-"):
            self.send_header("Cache-Control", "max-age=31536000, immutable")
        super().end_headers()


class _Server(http.server.ThreadingHTTPServer):
    """Says nothing where a browser has gone away in the middle of a file."""

    def handle_error(self, request: Any, client_address: Any) -> None:
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)


def open_server(folder: Path, port: int = 0) -> http.server.ThreadingHTTPServer:
    """Open a server for this computer alone; port 0 takes a free one.

    Raises:
        KitError: There is no site, or the port is taken.
    """
    if not (folder / "index.html").is_file():
        raise KitError("There is no site.", where=str(folder),
                       hint=f"`python3 checks site {typed(folder)}` makes one.")  # fmt: skip
    handler = functools.partial(_Quiet, directory=str(folder))
    try:
        return _Server(("127.0.0.1", port), handler)
    except OSError as fault:
        raise KitError(f"The port {port} cannot be used: {fault.strerror or fault}.",
                       hint="take another one: --port 8090.") from fault  # fmt: skip


def serve_site(folder: Path, port: int) -> int:
    """Serve until Ctrl + C; give the exit code."""
    with open_server(folder, port) as server:
        address = f"http://localhost:{server.server_address[1]}/"
        say(f"The site is at {address}; Ctrl + C ends it.")
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            threading.Thread(target=server.shutdown).start()
            say("", "Stopped.")
    return 0
