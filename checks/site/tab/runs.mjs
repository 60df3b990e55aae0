// Which cell is running: noted in the browser's own file system, so that a page that is closed in the
// middle of one can tell of it when it is opened again. Each kernel has a file and holds it; a file
// with something in it that nobody holds is of a kernel that is gone.

const FOLDER = "quayside-runs";
const NOWHERE = { before: [], note: () => {} };

/** Open this kernel's notes; `before` has what cells were running when their pages were closed. */
export async function openRuns() {
  try {
    const root = await navigator.storage.getDirectory();
    const folder = await root.getDirectoryHandle(FOLDER, { create: true });
    const before = [];
    for await (const [name, file] of folder.entries()) {
      const held = await file.createSyncAccessHandle().catch(() => null); // by a kernel that lives
      if (!held) continue;
      const bytes = new Uint8Array(held.getSize());
      held.read(bytes, { at: 0 });
      held.close();
      if (bytes.length) before.push(new TextDecoder().decode(bytes));
      await folder.removeEntry(name);
    }
    const own = await folder.getFileHandle(crypto.randomUUID(), { create: true });
    const notes = await own.createSyncAccessHandle();
    const note = (text) => {
      notes.truncate(0);
      notes.write(new TextEncoder().encode(text), { at: 0 });
      notes.flush();
    };
    return { before, note };
  } catch {
    return NOWHERE; // a private window, an old browser, or plain http: there is no such place
  }
}
