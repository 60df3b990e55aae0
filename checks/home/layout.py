"""Layout: what all of the home's pages have in common; they run nothing but a script of our own."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from html import escape
from pathlib import Path

__all__ = ["RULES", "document"]

_STYLE = Path(__file__).with_name("home.css")
_SCRIPT = Path(__file__).with_name("home.js").read_text(encoding="utf-8")
_NAME_OF_IT = b64encode(sha256(_SCRIPT.encode()).digest()).decode()
RULES = (
    f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{_NAME_OF_IT}';"
    " connect-src 'self'; img-src data:; form-action 'self'; frame-ancestors 'self';"
    " base-uri 'none'"
)
"""What a page may do: nothing but its own style, forms and that one script (W3C, CSP Level 3)."""


def document(
    title: str, body: str, *, home: str = "", small: bool = False, script: bool = False
) -> str:
    """Give a whole page.

    Args:
        title: Its title.
        body: Its HTML.
        home: The address of the home page, for a link back; "" without one.
        small: Whether it is printed in small type, to stay on one sheet.
        script: Whether the script runs in it.
    """
    back = f"<p class='unprinted'><a href='{escape(home)}'>Home</a></p>" if home else ""
    end = f"<script>{_SCRIPT}</script>" if script else ""
    kind = " class='small'" if small else ""
    return (
        f"<!doctype html><html lang='en'><head><meta charset='utf-8'>"
        # A browser asks for a picture for the tab where none is named, and there is none.
        "<link rel='icon' href='data:,'>"
        f"<meta name='viewport' content='width=device-width'><title>{escape(title)} - Quayside"
        f"</title><style>{_STYLE.read_text(encoding='utf-8')}</style></head>"
        f"<body{kind}>{back}{body}{end}</body></html>\n"
    )
