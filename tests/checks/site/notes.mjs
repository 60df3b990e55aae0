// Opens the notes of two kernels on a made-up folder in which a cell was cut off: node notes.mjs RUNS
// What each of them has to tell, by and by, is printed as JSON.

import { pathToFileURL } from "node:url";

const { openRuns } = await import(pathToFileURL(process.argv[2]).href);
const held = new Set();
const texts = new Map([["gone", "run('a.py')"], ["ended", ""]]);
const encoded = (name) => new TextEncoder().encode(texts.get(name));
const file = (name) => ({
  async createSyncAccessHandle() {
    if (held.has(name)) throw new Error("held");
    held.add(name);
    return {
      getSize: () => encoded(name).length,
      read: (bytes) => bytes.set(encoded(name)),
      write: (bytes) => texts.set(name, new TextDecoder().decode(bytes)),
      truncate: () => texts.set(name, ""),
      flush: () => {},
      close: () => held.delete(name),
    };
  },
});
const folder = {
  entries: async function* () { for (const name of [...texts.keys()]) yield [name, file(name)]; },
  getFileHandle: async (name) => { texts.set(name, ""); return file(name); },
  removeEntry: async (name) => { texts.delete(name); },
};
const storage = { getDirectory: async () => ({ getDirectoryHandle: async () => folder }) };
Object.defineProperty(globalThis, "navigator", { value: { storage } });

const seen = [];
const [one, two] = [await openRuns(), await openRuns()];
const look = () => seen.push([[...one.before], [...two.before]]);
one.note("y = 2");
look();
two.told();
for (let k = 0; k < 100 && one.before.length; k++) await new Promise((done) => setTimeout(done, 20));
look();
const three = await openRuns();
console.log(JSON.stringify({ seen, left: [...texts.values()].filter(Boolean), three: three.before }));
process.exit(0);
