"""A script stands in the written answer."""

from tests.checks.marking.cases import answer

SCRIPT = (
    "<script>document.title='acted'</script>"
    "<img src=x onerror=\"document.title='acted'\">"
    "<a href=\"javascript:document.title='acted'\">trap</a>"
    "<svg onload=\"document.title='acted'\"></svg>"
    "<iframe srcdoc=\"<script>parent.document.title='acted'</script>\"></iframe>"
    "[trap](javascript:document.title='acted')"
)


def make(nb):
    answer(nb)["source"] = SCRIPT
