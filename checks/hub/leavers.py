"""Leavers: whoever is in the class no more has no seat, no open browser and no way in.

The hub runs it.  It looks at the file of codes, and when that has changed, lets the hub end the
seats of all who are not in it and forget them, with their cookies and tokens.  Their folders stay.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
import urllib.request
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import quote

from robotsim import KitError

from .codes import GONE, read_codes

__all__ = ["main", "see_off"]

_LOOK_S = 5.0
_PATIENCE_S = 60.0
_PAGE = 200
"""The most that the hub gives at once."""


def see_off(codes: Path, hub: Any) -> list[str]:
    """Let the hub forget everybody who has no code.

    Args:
        codes: The file of codes.
        hub: Asks the hub's own interface: a method and a path, to what it answers.

    Returns:
        Who is still to be forgotten, because their seat is on its way down.

    Raises:
        KitError: The file is damaged.
        ValueError: Nobody is in it.
        OSError: The hub does not answer.
    """
    known = {one.user for one in read_codes(codes) if one.role != GONE}
    if not known:  # a file that is just being laid anew is no class that has left
        raise ValueError("nobody is in the class")
    users, waiting = list[Any](), list[str]()
    while len(page := hub("GET", f"/users?limit={_PAGE}&offset={len(users)}")) == _PAGE:
        users += page
    for user in [*users, *page]:
        name = str(user["name"])
        if name in known:
            continue
        place = f"/users/{quote(name)}"
        if user.get("server") or user.get("pending"):
            hub("DELETE", f"{place}/server")
            waiting.append(name)
        else:
            hub("DELETE", place)
    return waiting


def _ask(method: str, path: str) -> Any:
    request = urllib.request.Request(
        os.environ["JUPYTERHUB_API_URL"] + path, method=method,
        headers={"Authorization": f"token {os.environ['JUPYTERHUB_API_TOKEN']}"},
    )  # fmt: skip
    with urllib.request.urlopen(request, timeout=_PATIENCE_S) as answer:
        said = answer.read()
    return json.loads(said) if said else None


def main(arguments: Sequence[str] | None = None) -> int:
    """Look after it until the hub is gone."""
    parser = argparse.ArgumentParser(prog="python -m checks.hub.leavers")
    parser.add_argument("codes", type=Path, metavar="CSV")
    codes = parser.parse_args(arguments).codes
    hub, seen, waiting = os.getppid(), 0.0, list[str]()
    with suppress(KeyboardInterrupt):  # so the hub ends it
        while os.getppid() == hub:
            try:
                changed = codes.stat().st_mtime
                if changed != seen or waiting:
                    waiting, seen = see_off(codes, _ask), changed
            except (OSError, ValueError, KitError) as fault:  # tried again; the hub's log has it
                print(f"Not seen off yet: {fault}", file=sys.stderr, flush=True)
            time.sleep(_LOOK_S)
    return 0


if __name__ == "__main__":
    sys.exit(main())
