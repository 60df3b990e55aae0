"""Desk: how a seat on a class's server speaks with the teacher's desk; elsewhere there is none.

The standard library alone is needed, and no loop of events: notebooks, commands and the home page
all speak with it in the same way.
"""

from __future__ import annotations

import os
import urllib.error
import urllib.request
from dataclasses import dataclass, field
from http.client import HTTPException

from robotsim import KitError

__all__ = ["Desk", "desk_here"]

_PATIENCE_S = 60.0


@dataclass(frozen=True)
class Desk:
    """The teacher's desk.

    Attributes:
        url: Its address.
        token: What says to it who one is.
    """

    url: str
    token: str = field(repr=False)

    def ask(self, what: str, data: bytes | None = None, patience_s: float = _PATIENCE_S) -> bytes:
        """Ask for something, or hand something over.

        Args:
            what: The last part of the address.
            data: What is handed over; None to ask.
            patience_s: How long it may take, in s.

        Raises:
            KitError: It cannot be reached, or does not take it; in its own words.
        """
        request = urllib.request.Request(
            f"{self.url}/{what}", data, {"Authorization": f"token {self.token}"},
            method="GET" if data is None else "PUT",
        )  # fmt: skip
        try:
            with urllib.request.urlopen(request, timeout=patience_s) as answer:
                return bytes(answer.read())
        except urllib.error.HTTPError as fault:
            words = fault.read(2000).decode("utf-8", "replace") or str(fault)
            raise KitError(
                f"Your teacher's desk did not take it: {words[:300]}",
                hint="try again; your work is safe in your folder.",
            ) from fault
        except (OSError, HTTPException) as fault:
            why = fault.reason if isinstance(fault, urllib.error.URLError) else fault
            raise KitError(
                f"Your teacher's desk cannot be reached: {getattr(why, 'strerror', None) or why}.",
                hint="try again in a minute; your work is safe in your folder. Tell your teacher.",
            ) from fault


def desk_here() -> Desk | None:
    """Give the desk of the hub on which this process runs, or None."""
    url, token = os.environ.get("QUAYSIDE_DESK"), os.environ.get("JUPYTERHUB_API_TOKEN")
    return Desk(url.rstrip("/"), token) if url and token else None
