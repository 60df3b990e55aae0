// What the kernel loads in place of Pyodide's own module: Pyodide, with the kit's files in it and the
// board's interpreter plugged in before the first cell can run.

import { loadPyodide as load } from "./pyodide.mjs";
import { loadMicroPython } from "./micropython.mjs";
import { makeBoard } from "./board.mjs";

const place = (name) => new URL(name, import.meta.url).href;

async function bytes(name) {
  const answer = await fetch(place(name));
  if (!answer.ok) throw new Error(`${name} cannot be had: ${answer.status}`);
  return answer.arrayBuffer();
}

export async function loadPyodide({ packages, ...options }) {
  // `packages` are those that the archive brings: the kernel is told of them so that it installs none.
  const list = place("pyodide-lock.json");
  const [pyodide, archive, board] = await Promise.all([
    load({ ...options, indexURL: place("./"), lockFileURL: list }),
    bytes("packages.zip"),
    makeBoard(loadMicroPython, place("micropython.wasm")),
  ]);
  const into = pyodide.runPython("import site; site.getsitepackages()[0]");
  pyodide.unpackArchive(archive, "zip", { extractDir: into });
  pyodide.registerJsModule("_quayside_board", board);
  pyodide.runPython("import _quayside_board as board; from checks.site.tab import start; start(board)");
  return pyodide;
}
