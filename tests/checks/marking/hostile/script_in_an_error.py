"""Fails with a script in its message."""

from tests.checks.marking.cases import program

SCRIPT = "<script>document.title='acted'</script><img src=x onerror=document.title='acted'>"
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, f"raise ValueError({SCRIPT!r})")
