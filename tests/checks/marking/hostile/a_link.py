"""The file is a link to another learner's."""

LINE = "no plain file"


def make(nb):
    return None


def beside(folder):
    (folder / "lamps.ipynb").unlink()
    try:
        (folder / "lamps.ipynb").symlink_to(folder.parent.parent / "aa-good/lamps/lamps.ipynb")
    except OSError:  # a system on which not everybody may make links
        (folder / "lamps.ipynb").mkdir()
