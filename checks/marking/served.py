"""Served: nbgrader's own pages, made to fetch nothing and to show names as text.

Its form grader and its feedback load a program for formulas from a public network, with a class's
names on the page, and print names as they are.  Both are rendered by one exporter, which takes this
preprocessor: it escapes whatever is printed, takes that program out (our lessons have no formulas;
one in an answer is shown as it was typed) and lets the browser itself refuse all fetching.  In the
form grader what a person marks comes first (see `desk_order`).
"""

from __future__ import annotations

from typing import Any

from jinja2 import DictLoader
from nbconvert.preprocessors import Preprocessor
from nbformat import NotebookNode
from traitlets import Bool

from ..shown import on_page
from .desk_order import desk_order

__all__ = ["FETCHES_NOTHING", "Served"]

FETCHES_NOTHING = (
    '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
    "img-src data:; font-src data:; style-src 'unsafe-inline'{more}\">"
)
"""What a page that goes back may use: what it carries (W3C, Content Security Policy Level 3)."""
_OWN_SERVER = (
    '<meta http-equiv="Content-Security-Policy" content="default-src \'self\' data: '
    "'unsafe-inline' 'unsafe-eval'\">"
)
# The form grader waits for the formulas to be set before it scrolls to the first score.
_SET_ALREADY = """<script>
var MathJax = {Hub: {Startup: {signal: {Interest: function (call) {
  window.setTimeout(function () { call("End"); }, 0);
}}}}};
</script>"""
_FORM_GRADER = "submission_id"
"""What only the form grader tells of a page."""


class _Ours(DictLoader):
    """Gives our template in the place of theirs."""


class Served(Preprocessor):
    """Readies one page of nbgrader's."""

    enabled = Bool(True).tag(config=True)

    def preprocess(self, nb: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
        """Escape what the page prints, and take the place of what it would fetch."""
        exporter: Any = self.parent
        graded = _FORM_GRADER in resources
        # Put in by hand: an exporter makes its environment anew, without the filters of its own,
        # when it is given another loader by its setting.
        loaders = exporter.environment.loader.loaders
        if not isinstance(loaders[0], _Ours):
            head = _OWN_SERVER + _SET_ALREADY if graded else FETCHES_NOTHING.format(more="")
            macro = f"{{%- macro mathjax() -%}}{head}{{%- endmacro -%}}"
            loaders.insert(0, _Ours({"mathjax.html.j2": macro}))
        if graded:
            nb.cells = desk_order(nb.cells)
            for name, value in resources.items():
                if isinstance(value, str):
                    resources[name] = on_page(value)
        return nb, resources
