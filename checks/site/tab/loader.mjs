// What the kernel loads in place of Pyodide's own module: a kernel that has been started before, with
// the board's interpreter plugged in before the first cell can run. It wakes as soon as this module is
// there, which may be before anybody asks for it (ahead.js).

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

const heard = { stdout: (row) => console.log(row), stderr: (row) => console.error(row) };

async function waking() {
  const pack = get("kernel.pack").then((answer) => readPack(answer.body));
  const board = makeBoard(loadMicroPython, place("micropython.wasm"));
  const { packages } = await (await get("pyodide-lock.json")).json();
  const options = {
    indexURL: place("./"), lockFileURL: place("pyodide-lock.json"),
    stdout: (row) => heard.stdout(row), stderr: (row) => heard.stderr(row),
  };
  return Promise.all([wake(load, make, options, pack, !packages.matplotlib), board]);
}

const awake = waking();
awake.catch(() => {}); // told to whoever asks

/** Give the kernel, to the one who is to have it; the packages that the pack brings are not asked for. */
export async function loadPyodide({ stdout, stderr }) {
  const [pyodide, board] = await awake;
  Object.assign(heard, { stdout, stderr });
  start(pyodide, board, await openRuns());
  return pyodide;
}
