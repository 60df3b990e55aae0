// Run Python in a site's engine room, with no browser: node room.mjs ROOM SCRIPT FOLDER LAST
// The folder's files are put into the working folder there; what LAST, an expression, comes to is
// printed as JSON.

import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [room, script, folder, last] = process.argv.slice(2);
const from = (name) => import(pathToFileURL(path.join(room, name)).href);
const { loadPyodide } = await from("pyodide.mjs");
const { default: make } = await from("pyodide.asm.mjs");
const { loadMicroPython } = await from("micropython.mjs");
const { makeBoard } = await from("board.mjs");
const { readPack } = await from("pack.mjs");
const { start, wake } = await from("wake.mjs");

const pack = readPack(new Blob([fs.readFileSync(path.join(room, "kernel.pack"))]).stream());
const lock = JSON.parse(fs.readFileSync(path.join(room, "pyodide-lock.json"), "utf8"));
const options = { indexURL: room, stderr: () => {} };
const pyodide = await wake(loadPyodide, make, options, pack, !lock.packages.matplotlib);
for (const name of fs.readdirSync(folder)) {
  pyodide.FS.writeFile(name, new Uint8Array(fs.readFileSync(path.join(folder, name))));
}
const board = await makeBoard(loadMicroPython, path.join(room, "micropython.wasm"));
start(pyodide, board, { before: [], note() {}, told() {} });
pyodide.runPython(fs.readFileSync(script, "utf8"));
console.log(await pyodide.runPythonAsync(`import json; json.dumps(${last})`));
process.exit(0);
