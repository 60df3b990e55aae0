"""The file bears another name."""

def make(nb):
    return None


def beside(folder):
    (folder / "lamps.ipynb").rename(folder / "1-lamps (2).ipynb")
