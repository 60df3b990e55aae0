"""Runs every cell of every notebook in the working folder, in a tab's own kernel."""

import json
from pathlib import Path

from pyodide_kernel import kernel_instance, stderr_stream, stdout_stream


async def faults() -> dict[str, list[str]]:
    """Give for each notebook what went wrong in its cells."""
    said: list[str] = []

    def heard(text: str) -> None:
        if "made without it" in text or "in a page" in text:  # a picture, a word that is not there
            said.append(text)

    shell = kernel_instance.interpreter
    stdout_stream.publish_stream_callback = lambda name, text: heard(text)
    stderr_stream.publish_stream_callback = lambda name, text: said.append(text)
    for name in ("display_data", "update_display_data", "clear_output"):
        setattr(shell.display_pub, f"{name}_callback", lambda *_: None)
    shell.displayhook.publish_execution_result = lambda *_: None
    shell.send_comm = lambda *_: None  # the page sets it, to hear of what a slider shows
    found = {}
    for path in sorted(Path().glob("*.ipynb")):
        said.clear()
        for cell in json.loads(path.read_text("utf-8"))["cells"]:
            if cell["cell_type"] == "code":
                text = "".join(cell["source"])
                done = await kernel_instance.run(text)
                if done["status"] != "ok":
                    said.append(f"{text[:60]!r}: {done['ename']}: {done['evalue']}")
        found[path.name] = list(said)
    return found
