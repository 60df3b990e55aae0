"""A script stands in an output of a cell."""

from tests.checks.marking.cases import free

SCRIPT = "<script>document.title='acted'</script><img src=x onerror=\"document.title='acted'\">"


def make(nb):
    free(nb, "1")
    nb["cells"][1]["outputs"] = [
        {"output_type": "display_data", "data": {"text/html": SCRIPT}, "metadata": {}}
    ]
