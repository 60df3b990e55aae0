// Run Python in a site's engine room, with no browser: node room.mjs ROOM SCRIPT FOLDER LAST
// The folder's files are put into the working folder there; what LAST, an expression, comes to is
// printed as JSON.

import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [room, script, folder, last] = process.argv.slice(2);
const from = (name) => import(pathToFileURL(path.join(room, name)).href);
const { loadPyodide } = await from("pyodide.mjs");
const { loadMicroPython } = await from("micropython.mjs");
const { makeBoard } = await from("board.mjs");

const pyodide = await loadPyodide({ indexURL: room, stderr: () => {} });
const board = await makeBoard(loadMicroPython, path.join(room, "micropython.wasm"));
const archive = new Uint8Array(fs.readFileSync(path.join(room, "packages.zip")));
const into = pyodide.runPython("import site; site.getsitepackages()[0]");
pyodide.unpackArchive(archive, "zip", { extractDir: into });
for (const name of fs.readdirSync(folder)) {
  pyodide.FS.writeFile(name, new Uint8Array(fs.readFileSync(path.join(folder, name))));
}
pyodide.registerJsModule("_quayside_board", board);
pyodide.runPython("import _quayside_board as board; from checks.site.tab import start; start(board)");
if (last.startsWith("await")) pyodide.runPython("import piplite.piplite, pyodide_kernel");
pyodide.runPython(fs.readFileSync(script, "utf8"));
console.log(await pyodide.runPythonAsync(`import json; json.dumps(${last})`));
process.exit(0);
