// Which cell is running: noted in the browser's own file system, so that a page that is closed in the
// middle of one can tell of it when it is opened again. Each kernel has a file and holds it; a file
// with something in it that nobody holds is of a kernel that is gone, and stays until somebody has read
// of it: the first kernel that comes by may end without a word.

const FOLDER = "quayside-runs";
const NOWHERE = { before: [], note: () => {}, told: () => {} };

/** Read what is left of kernels that are gone: names and texts of their files. */
async function leftBehind(folder) {
  const left = [];
  for await (const [name, file] of folder.entries()) {
    const held = await file.createSyncAccessHandle().catch(() => null); // by a kernel that lives
    if (!held) continue;
    const bytes = new Uint8Array(held.getSize());
    held.read(bytes, { at: 0 });
    held.close();
    if (bytes.length) left.push([name, new TextDecoder().decode(bytes)]);
    else await folder.removeEntry(name);
  }
  return left;
}

/**
 * Open this kernel's notes.
 *
 * `before` has what cells were running when their pages were closed; `told` says that it has been told,
 * to the kernels of other notebooks, too; `note` notes what runs, "" for nothing.
 */
export async function openRuns() {
  try {
    const root = await navigator.storage.getDirectory();
    const folder = await root.getDirectoryHandle(FOLDER, { create: true });
    const left = await leftBehind(folder);
    const before = left.map(([, text]) => text);
    const channel = new BroadcastChannel(FOLDER);
    channel.onmessage = () => before.splice(0);
    const told = () => {
      before.splice(0);
      channel.postMessage("told");
      for (const [name] of left.splice(0)) folder.removeEntry(name).catch(() => {});
    };
    const own = await folder.getFileHandle(crypto.randomUUID(), { create: true });
    const notes = await own.createSyncAccessHandle();
    const note = (text) => {
      notes.truncate(0);
      notes.write(new TextEncoder().encode(text), { at: 0 });
      notes.flush();
    };
    return { before, note, told };
  } catch {
    return NOWHERE; // a private window, an old browser, or plain http: there is no such place
  }
}
