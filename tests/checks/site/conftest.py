"""A site for the tests of this folder, made once for each file of them."""

from pathlib import Path

import pytest

from checks.site.build import build_site
from checks.site.npm import fetch_packages


@pytest.fixture(scope="module")
def site(npm: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site with two lessons."""
    folder = tmp_path_factory.mktemp("site")
    modules = fetch_packages(folder / "npm")
    for _ in build_site(folder / "made", ["lamps", "drive"], packages=modules):
        pass
    return folder / "made"
