"""Start: IPython's own kernel, without the debugger of Python.

The debugger takes 8 MB, and cannot look into a learner's program: that runs on the board.
"""

import sys

sys.path.pop(0)  # this folder; the notebook's own comes later
sys.modules["debugpy"] = None  # type: ignore[assignment]  # ipykernel then does without

from ipykernel import kernelapp  # noqa: E402

kernelapp.launch_new_instance()
