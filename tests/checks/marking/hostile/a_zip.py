"""An archive with the name of a notebook."""

import io
import zipfile

LINE = "not a notebook"


def make(nb):
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("lamps.ipynb", "{}")
    return file.getvalue()
