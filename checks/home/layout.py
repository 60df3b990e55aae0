"""Layout: what all of the home's pages have in common; they fetch nothing and run nothing."""

from __future__ import annotations

from html import escape
from pathlib import Path

__all__ = ["document"]

_STYLE = Path(__file__).with_name("home.css")


def document(title: str, body: str, *, home: str = "", small: bool = False) -> str:
    """Give a whole page.

    Args:
        title: Its title.
        body: Its HTML.
        home: The address of the home page, for a link back; "" without one.
        small: Whether it is printed in small type, to stay on one sheet.
    """
    back = f"<p class='unprinted'><a href='{escape(home)}'>Home</a></p>" if home else ""
    kind = " class='small'" if small else ""
    return (
        f"<!doctype html><html lang='en'><head><meta charset='utf-8'>"
        f"<meta name='viewport' content='width=device-width'><title>{escape(title)} - Quayside"
        f"</title><style>{_STYLE.read_text(encoding='utf-8')}</style></head>"
        f"<body{kind}>{back}{body}</body></html>\n"
    )
