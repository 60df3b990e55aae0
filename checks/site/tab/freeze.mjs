// Makes the memory of a kernel that has started, when a site is made: node freeze.mjs ROOM PACK MEMORY
// PACK has the kit's files; the memory is written to the file MEMORY.

import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { readPack } from "./pack.mjs";
import { wake } from "./wake.mjs";

const [room, pack, memory] = process.argv.slice(2);
const from = (name) => import(pathToFileURL(path.join(room, name)).href);
const { loadPyodide } = await from("pyodide.mjs");
const { default: make } = await from("pyodide.asm.mjs");

const options = {
  indexURL: room, _makeSnapshot: true, stderr: (row) => console.error(row),
  env: { HOME: "/home/pyodide", PYTHONHASHSEED: "0" }, // so that the same kit gives the same memory
};
try {
  const files = readPack(new Blob([fs.readFileSync(pack)]).stream());
  const pyodide = await wake(loadPyodide, make, options, files, false);
  pyodide.runPython("import gc; gc.collect()");
  fs.writeFileSync(memory, pyodide.makeMemorySnapshot({ serializer: () => 0 }));
} catch (fault) {
  console.error(fault.message ?? fault);
  process.exit(1);
}
process.exit(0);
