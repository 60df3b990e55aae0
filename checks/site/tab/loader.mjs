// What the kernel loads in place of Pyodide's own module: a kernel that has been started before, with
// the board's interpreter plugged in before the first cell can run.

import { loadPyodide as load } from "./pyodide.mjs";
import make from "./pyodide.asm.mjs";
import { loadMicroPython } from "./micropython.mjs";
import { makeBoard } from "./board.mjs";
import { readPack } from "./pack.mjs";
import { openRuns } from "./runs.mjs";
import { start, wake } from "./wake.mjs";

const place = (name) => new URL(name, import.meta.url).href;

async function get(name) {
  const answer = await fetch(place(name));
  if (!answer.ok) throw new Error(`${name} cannot be had: ${answer.status}`);
  return answer;
}

export async function loadPyodide({ packages, ...options }) {
  // `packages` are those that the pack brings: the kernel is told of them so that it installs none.
  const where = { indexURL: place("./"), lockFileURL: place("pyodide-lock.json") };
  const { packages: theirs } = await (await get("pyodide-lock.json")).json();
  const pack = get("kernel.pack").then((answer) => readPack(answer.body));
  const [pyodide, board, runs] = await Promise.all([
    wake(load, make, { ...options, ...where }, pack, !theirs.matplotlib),
    makeBoard(loadMicroPython, place("micropython.wasm")),
    openRuns(),
  ]);
  start(pyodide, board, runs);
  return pyodide;
}
