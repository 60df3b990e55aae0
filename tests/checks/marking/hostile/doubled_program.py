"""A program was copied with its cell and then changed; the second is right."""

from tests.checks.marking.cases import place

NOTE = "the last one counts"


def make(nb):
    at = place(nb, "lamps-signal-program")
    first = dict(nb["cells"][at])
    first["source"] = first["source"].partition("\n")[0] + "\nraise SystemExit"
    nb["cells"].insert(at, first)
