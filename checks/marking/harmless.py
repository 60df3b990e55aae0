"""Harmless: a learner's Markdown, shown to a mentor, may look like anything and do nothing.

nbgrader's pages pass the HTML in Markdown cells through to the browser, where a script in an
answer would act with the mentor's rights.  What is rendered is cleaned here: what text needs
stays, everything that acts goes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import bleach
from bleach.css_sanitizer import CSSSanitizer
from jinja2 import pass_context
from jinja2.runtime import Context
from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath

__all__ = ["clean", "markdown", "rendered"]

_TAGS = {
    "a", "abbr", "b", "blockquote", "br", "caption", "code", "dd", "del", "details", "div", "dl",
    "dt", "em", "figcaption", "figure", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "i", "img",
    "ins", "kbd", "li", "mark", "ol", "p", "pre", "q", "s", "samp", "small", "span", "strong",
    "sub", "summary", "sup", "table", "tbody", "td", "tfoot", "th", "thead", "tr", "u", "ul",
}  # fmt: skip
_ATTRIBUTES = {
    "*": ["class", "title", "lang", "dir"],
    "a": ["href"],
    "img": ["src", "alt", "width", "height"],
    "td": ["colspan", "rowspan", "align"],
    "th": ["colspan", "rowspan", "align", "scope"],
    "details": ["open"],
    "ol": ["start"],
}
_PICTURE = re.compile(r"data:image/(png|jpeg|gif|webp);base64,[A-Za-z0-9+/=\s]+")
_ACTS = re.compile(r"(?i)(j\s*a\s*v\s*a|v\s*b)\s*(s\s*c\s*r\s*i\s*p\s*t)\s*:")
# MathJax has words that make links and run code; a backslash before them loses its meaning.
_MATHS = re.compile(r"(?i)(\\|&#0*92;|&#x0*5c;|&bsol;)\s*(href|style|class|cssid|require|unicode)")


def _allowed(tag: str, name: str, value: str) -> bool:
    """Tell whether an attribute may stay; a picture may only be one that the file carries."""
    if name not in (*_ATTRIBUTES["*"], *_ATTRIBUTES.get(tag, ())):
        return False
    if name == "src":
        return bool(_PICTURE.fullmatch(value))
    if name == "class":
        # The page's own scripts look for elements by their class.
        return all(word in _CLASSES or word.startswith("language-") for word in value.split())
    return True


_CLASSES = {"highlight", "anchor-link"}


def clean(html: str) -> str:
    """Take out of HTML everything that could act, reach out or pass for a part of the page."""
    kept = bleach.clean(
        html, tags=_TAGS, attributes=_allowed, protocols=["http", "https", "mailto", "data"],
        css_sanitizer=CSSSanitizer(allowed_css_properties=[]), strip=False, strip_comments=True,
    )  # fmt: skip
    kept = re.sub(r'(?i)href="\s*data:', 'href="#', kept)
    return _MATHS.sub(r"\\ \2", _ACTS.sub(r"\1\2 :", kept))


class _Pictures(dict[str, dict[str, str]]):
    """The pictures that a cell carries; one that it does not carry leaves its words alone."""

    def __contains__(self, name: object) -> bool:
        return True

    def __missing__(self, name: str) -> dict[str, str]:
        return {"image/none": ""}  # of no kind that `clean` lets through


@pass_context
def markdown(context: Context, source: str) -> str:
    """Render a cell's Markdown as nbconvert does, cleaned; for its filter `markdown2html`."""
    cell: Any = context.get("cell", {})
    return rendered(source, cell.get("attachments", {}))


def rendered(source: str, attached: Mapping[str, Mapping[str, str]] | None = None) -> str:
    """Give Markdown as HTML that does nothing.

    Args:
        source: The text.
        attached: The pictures that its cell carries: name to kind to data.
    """
    attachments = _Pictures()
    for name, bundle in (attached or {}).items():
        kept = {kind: data for kind, data in bundle.items() if kind.startswith("image/")}
        if kept:
            attachments[name] = kept
    renderer = IPythonRenderer(
        escape=False, attachments=attachments, embed_images=False, path="",
        anchor_link_text="¶", exclude_anchor_links=False,
    )  # fmt: skip
    return clean(MarkdownWithMath(renderer=renderer).render(source))
