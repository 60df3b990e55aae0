"""A cell takes the programs of another learner."""

from tests.checks.marking.cases import NOTHING, empty_work, free

TEXT = """\
import glob, json
from robotsim.notebook import FLASH
for path in glob.glob("../../../submitted/*/lamps/lamps.ipynb"):
    for c in json.load(open(path))["cells"]:
        text = "".join(c["source"])
        if text.startswith("%%program"):
            head, _, body = text.partition("\\n")
            FLASH.setdefault("own_" + head.split()[1], body)
for name in [n for n in FLASH if n.startswith("own_")]:
    FLASH[name[4:]] = FLASH[name]
"""
POINTS = NOTHING


def make(nb):
    empty_work(nb)
    free(nb, TEXT)
