"""A site in Firefox: a lesson is opened, a program runs, a check gives the card of a computer."""

from __future__ import annotations

import json
import shutil
import time
from pathlib import Path

import pytest

from checks import check
from checks.site.build import STORE
from robotsim import Whose
from tests.checks.site.firefox import firefox_tab
from tests.checks.site.tab import KEPT, SEEN, notebook, served

pytestmark = [pytest.mark.npm, pytest.mark.long]
FILE = "1-lamps.ipynb"
PROGRAM = Path(__file__).parents[2] / "programs" / "lamps" / "side" / "right_class.py"
PUT_BACK = """(async () => {
  const file = new File([await (await fetch("work.ipynb")).text()], "1-lamps.ipynb");
  const chosen = new DataTransfer();
  chosen.items.add(file);
  const box = document.getElementById("back");
  box.files = chosen.files;
  box.dispatchEvent(new Event("change"));
  return true;
})()"""


def test_a_lesson_is_opened_run_and_checked_in_firefox(site: Path, tmp_path: Path) -> None:
    program = shutil.which("firefox-esr") or shutil.which("firefox")
    if program is None:
        pytest.skip("Firefox is not installed (on Debian: sudo apt install firefox-esr)")
    text = PROGRAM.read_text("utf-8")
    cells = [f"%%program side.py\n{text}", 'run("side.py", seconds=2)', 'check("lamps.side")']
    here = shutil.copytree(site, tmp_path / "site")
    (here / "work.ipynb").write_bytes(notebook(cells))
    with served(here) as address, firefox_tab(program, tmp_path / "profile") as tab:
        tab.go(address)
        assert tab.say(PUT_BACK)
        tab.wait_for("document.getElementById('said').innerText.startsWith('Taken back')")
        tab.go(f"{address}lab/index.html?path={FILE}")
        first = f"document.querySelector('{SEEN} .jp-Cell .cm-content')"
        idle = f"{SEEN} .jp-Notebook-ExecutionIndicator[data-status=idle]"
        tab.wait_for(f"!!document.querySelector('{idle}')")
        for number in range(1, len(cells) + 1):
            # A cell above the window is not on the page: what ran last is.
            ran = (f"[...document.querySelector('{SEEN}').innerText.matchAll(/\\[(\\d+)\\]:/g)]"
                   f".some((found) => Number(found[1]) >= {number})")  # fmt: skip
            for _ in range(40):  # a key that comes while a cell is still drawn is lost
                if tab.say(ran):
                    break
                if number == 1:
                    tab.say(f"{first}.focus() ?? true")
                tab.press("Shift", "Enter")
                time.sleep(3.0)
            else:
                pytest.fail(f"cell {number} has not run in two minutes")
        shown = f"({KEPT})({json.dumps([STORE, FILE])})"
        tab.wait_for(f"{shown}.then((found) => found.cells[2].outputs.length > 0)")
        outputs = [cell.get("outputs") for cell in tab.say(shown)["cells"]]
    (result,) = outputs[2]
    card = check("lamps.side", files={"side.py": text}, whose=Whose.KIT)
    assert card is not None
    assert result["data"]["text/plain"] == repr(card)
    assert result["data"]["text/html"] == card._repr_html_()
    assert "quay-replay" in json.dumps(outputs[1])
