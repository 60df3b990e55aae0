// Wakes a kernel: Pyodide with the kit's files in it. Where the pack has a memory, nothing is
// imported and compiled anew: all is as it was when the site was made (freeze.mjs).

/** Have Pyodide begin with a memory large enough for one that was kept, which it only asks for. */
const roomy = (make) => (settings) => {
  const theirs = settings.instantiateWasm;
  settings.instantiateWasm = (imports, done) =>
    theirs(imports, (instance, module) => {
      const { memory } = instance.exports;
      const lacking = (settings.INITIAL_MEMORY ?? 0) - memory.buffer.byteLength;
      if (lacking > 0) memory.grow(Math.ceil(lacking / 65536));
      done(instance, module);
    });
  return make(settings);
};

function lay(files, pyodide) {
  const into = pyodide.runPython("import site; site.getsitepackages()[0]");
  const made = new Set();
  for (const [name, bytes] of files) {
    const folder = `${into}/${name}`.replace(/\/[^/]*$/, "");
    if (!made.has(folder)) pyodide.FS.mkdirTree(folder);
    made.add(folder);
    pyodide.FS.writeFile(`${into}/${name}`, bytes, { canOwn: true });
  }
}

/**
 * Wake a kernel.
 *
 * @param {Function} load What Pyodide's module exports to load it.
 * @param {Function} make What its `pyodide.asm.mjs` exports.
 * @param {object} options What Pyodide is loaded with.
 * @param {Promise} pack What `readPack` gives.
 * @param {boolean} frozen Whether the pack has a memory; a site with matplotlib has none.
 */
export async function wake(load, make, options, pack, frozen) {
  const pyodide = await load({
    ...options, createPyodideModule: roomy(make),
    _loadSnapshot: frozen ? pack.then(({ memory }) => memory) : undefined,
    _snapshotDeserializer: () => ({}), // two names of the page's, which Pyodide and `start` bind anew
  });
  const { files } = await pack;
  lay(files, pyodide);
  if (pyodide.lockfile.packages.matplotlib) {
    await pyodide.loadPackage("matplotlib", { messageCallback: () => {} });
  }
  if (!frozen) pyodide.runPython("from checks.site.tab import prepare; prepare()");
  return pyodide;
}

/** Give a kernel that is awake the board's interpreter, and its notes on what is running. */
export function start(pyodide, board, runs) {
  pyodide.registerJsModule("_quayside", { board, runs });
  pyodide.runPython("import _quayside; from checks.site.tab import start; start(_quayside.board, _quayside.runs)");
}
