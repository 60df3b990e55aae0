"""Written in another encoding."""

import json

from tests.checks.marking.cases import answer

NOTE = "not written in UTF-8"


def make(nb):
    answer(nb)["source"] = "Weil die Lampen für beide Seiten verschieden sind: grün, rot."
    return json.dumps(nb, ensure_ascii=False).encode("latin-1", "replace")
