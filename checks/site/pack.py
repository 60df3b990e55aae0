"""Pack: what a tab's kernel finds, in one file: the kit's files, and its memory once started.

Starting a kernel takes mostly importing: some 600 modules are read and compiled.  So that is done
once, by Node.js when the site is made, and the memory of the kernel is kept (tab/freeze.mjs).
"""

from __future__ import annotations

import gzip
import json
import shutil
import struct
import subprocess
from collections.abc import Mapping
from pathlib import Path

from robotsim import KitError

from .packages import KIT

__all__ = ["freeze", "packed", "unpacked"]


def packed(files: Mapping[str, bytes], memory: bytes = b"") -> bytes:
    """Give files, and a memory if there is one, as a pack (tab/pack.mjs reads it).

    The same give the same bytes.
    """
    told = {"files": [(name, len(data)) for name, data in files.items()], "memory": len(memory)}
    index = json.dumps(told).encode()
    whole = b"".join([struct.pack("<I", len(index)), index, *files.values()])
    gap = bytes(-len(whole) % 16)
    return gzip.compress(whole + gap + memory, 6, mtime=0)


def unpacked(pack: bytes) -> tuple[dict[str, bytes], bytes]:
    """Give the files and the memory of a pack."""
    whole = gzip.decompress(pack)
    (length,) = struct.unpack_from("<I", whole)
    told = json.loads(whole[4 : 4 + length])
    files, at = {}, 4 + length
    for name, size in told["files"]:
        files[name] = whole[at : at + size]
        at += size
    return files, whole[len(whole) - told["memory"] :]


def freeze(room: Path, files: Mapping[str, bytes], work: Path) -> bytes:
    """Start a kernel with files in it, and give its memory.

    Args:
        room: Where Pyodide lies.
        files: What the kernel finds.
        work: A folder for what is needed on the way.

    Raises:
        KitError: Node.js is missing, or the kernel did not start.
    """
    node = shutil.which("node")
    if node is None:
        raise KitError("Node.js is not installed, and the site's kernel is started by it once.",
                       hint="install it (Debian: `apt install nodejs`).")  # fmt: skip
    pack, memory = work / "files.pack", work / "memory"
    pack.write_bytes(packed(files))
    command = [node, *map(str, (KIT / "tab" / "freeze.mjs", room.resolve(), pack, memory))]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode or not memory.is_file():
        told = " / ".join(done.stderr.strip().splitlines()[-3:])
        raise KitError(f"The site's kernel could not be started: {told[-600:]}",
                       hint="is this Node.js 20 or newer? `node --version`")  # fmt: skip
    return memory.read_bytes()
