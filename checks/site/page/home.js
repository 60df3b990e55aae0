// The home page of a site: how far its learner is, and their work as one file, out and in.
// Everything is read from and written to this browser's own store; nothing is sent anywhere.

import { strFromU8, strToU8, unzipSync, zipSync } from "./fflate.js";
import { amiss, astray, begun, far } from "./saved.js";

const { store, lessons, words, kept, mostSerial } = JSON.parse(document.getElementById("course").textContent);
const FILES = "files"; // where JupyterLite keeps a learner's files: path to contents model
const CARD = "tug.json"; // of the learner's own tug
const NAME = "quayside-name"; // how the page remembers what is to stand before the file's name
const WORK = "quayside-work"; // how that is called, between name and day
const NAMED = new RegExp(`^(.+)-${WORK}-\\d`);

const done = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

/** Do something with the store of files, which is made where there is none yet. */
async function withFiles(mode, deed) {
  const asked = indexedDB.open(store);
  asked.onupgradeneeded = () => asked.result.createObjectStore(FILES);
  const open = await done(asked);
  try {
    if (!open.objectStoreNames.contains(FILES)) {
      throw new Error("Open any lesson once, wait until it is there, and try again.");
    }
    return await deed(open.transaction(FILES, mode).objectStore(FILES));
  } finally {
    open.close();
  }
}

async function readAll() {
  return withFiles("readonly", async (files) => {
    const [paths, models] = await Promise.all([done(files.getAllKeys()), done(files.getAll())]);
    return new Map(paths.map((path, k) => [path, models[k]]));
  });
}

function model(path, content, type, format) {
  const now = new Date().toISOString();
  return {
    name: path.split("/").pop(), path, content, type, format, created: now, last_modified: now,
    mimetype: type === "notebook" ? "application/json" : type === "file" ? "text/plain" : "",
    size: content ? JSON.stringify(content).length : 0, writable: true,
  };
}

async function write(models) {
  await withFiles("readwrite", (files) =>
    Promise.all(models.map((each) => done(files.put(each, each.path)))));
}

/** Put what a file is now aside, before another takes its place: nothing is lost. */
async function layBy(path, old) {
  if (!old) return "";
  const stamp = new Date().toISOString().slice(0, 19).replace("T", " ").replaceAll(":", ".");
  const [stem, ending] = path.split(".");
  const aside = `${kept}/${stem} ${stamp}.${ending}`;
  await write([
    model(kept, null, "directory", "json"), { ...old, name: aside.split("/").pop(), path: aside },
  ]);
  return aside;
}

/** Give the learner's notebooks, path to content. */
const notebooksOf = (files) =>
  new Map([...files].filter(([path]) => path.endsWith(".ipynb")).map(([path, { content }]) => [path, content]));

/** Say in words how far a learner is in a lesson. */
function progress(lesson, notebooks) {
  const notebook = notebooks.get(lesson.file);
  if (!begun(notebook)) {
    const none = lesson.most ? `not begun; ${lesson.most} points` : "not begun";
    return astray(lesson, lessons, notebooks, words) || none;
  }
  const { points, open, changed } = far(notebook, words);
  const still = open ? `, ${open} still open` : ", done";
  const told = (lesson.most ? `${points} of ${lesson.most} points` : "begun") + still;
  return [told, ...changed].join(". ");
}

/** Say what of a learner's work would not count as they think it does, a sentence each. */
async function lookOver(notebooks) {
  const told = [];
  for (const lesson of lessons) {
    const notebook = notebooks.get(lesson.file);
    // without the copy that was handed out nobody can tell whether anything was changed
    const given = begun(notebook) ? await fetch(`files/${lesson.file}`).then((got) => got.json()).catch(() => null) : null;
    const lost = astray(lesson, lessons, notebooks, words);
    const why = begun(notebook) ? amiss(notebook, given, words) : lost && `${lost}.`;
    if (why) told.push(`${lesson.title}: ${why}`);
  }
  return told;
}

const say = (words) => {
  document.getElementById("said").textContent = words;
};

/** Give what a card says; null where it cannot be read. */
function cardOf(file) {
  try {
    const told = typeof file.content === "string" ? JSON.parse(file.content) : file.content;
    return told && typeof told === "object" && !Array.isArray(told) ? told : null;
  } catch {
    return null;
  }
}

let shownSerial;

async function show() {
  const files = await readAll().catch(() => new Map());
  const notebooks = notebooksOf(files);
  for (const lesson of lessons) {
    document.getElementById(`far-${lesson.id}`).textContent = progress(lesson, notebooks);
  }
  const card = files.has(CARD) ? cardOf(files.get(CARD)) : {};
  const number = document.getElementById("serial");
  // What was refused stays to be mended, and is not put back under the button that is being pressed.
  if (card && card.serial !== shownSerial && document.activeElement !== number) {
    shownSerial = card.serial;
    number.value = shownSerial ?? number.value;
  }
  document.getElementById("card").textContent = card ? "" : `${CARD} cannot be read: set the number anew.`;
}

/** Give the learner's name as it stands before a file's, and keep it. */
function nameNow() {
  const name = document.getElementById("name").value.trim().replace(/[^\p{L}\p{N}_-]+/gu, "_");
  localStorage.setItem(NAME, name);
  return name;
}

/** Take the name before a file of `handIn`: whose work is put back hands it in again. */
function nameOf(files) {
  const [, found] = files.map(({ name }) => NAMED.exec(name)).find(Boolean) ?? [];
  const before = nameNow();
  if (!found || found === before) return "";
  document.getElementById("name").value = found;
  nameNow();
  return ` Your name here is ${found} now, as in the file's name${before && `; it was ${before}`}.`;
}

async function handIn() {
  const files = await readAll();
  const notebooks = notebooksOf(files);
  const there = lessons.filter(({ file }) => begun(notebooks.get(file)));
  const wrong = await lookOver(notebooks);
  if (!there.length) {
    const none = "There is nothing to hand in yet: no cell of any lesson has run and been saved (Ctrl + S).";
    say([none, ...wrong].join(" "));
    return;
  }
  const packed = Object.fromEntries(there.map(({ file }) =>
    [file, strToU8(JSON.stringify(files.get(file).content, null, 1))]));
  const card = files.has(CARD) && cardOf(files.get(CARD));
  if (card) packed[CARD] = strToU8(JSON.stringify(card));
  const name = nameNow();
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([zipSync(packed)], { type: "application/zip" }));
  link.download = `${name && `${name}-`}${WORK}-${new Date().toISOString().slice(0, 10)}.zip`;
  link.click();
  const whose = name ? "" : " It bears nobody's name: a teacher cannot tell whose it is. Fill in who you are and take it once more.";
  const look = wrong.length ? ` But look: ${wrong.join(" ")}` : "";
  say(`${there.length} lesson${there.length > 1 ? "s" : ""} in ${link.download}.${whose}${look}`);
}

/** Give the lessons, and the card, that are in a file which somebody has chosen. */
async function opened(file) {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let each = { [file.name]: bytes };
  if (file.name.endsWith(".zip")) {
    try {
      each = unzipSync(bytes);
    } catch {
      throw new Error(`${file.name} is no zip file, or is damaged. Try: the file that this page gave you.`);
    }
  }
  const known = Object.entries(each).map(([name, data]) => [name.split("/").pop(), data])
    .filter(([name]) => name === CARD || lessons.some((one) => one.file === name));
  if (!known.length) throw new Error(`No lesson of this site is in ${file.name}.`);
  return known.map(([name, data]) => {
    try {
      return [name, JSON.parse(strFromU8(data))];
    } catch {
      throw new Error(`${name} in ${file.name} is damaged: it cannot be read. Nothing was changed.`);
    }
  });
}

/** Take work back that was taken along: a file of `handIn`, or single notebooks. */
async function takeBack(chosen) {
  const all = (await Promise.all(chosen.map(opened))).flat();
  const found = all.filter(([name]) => name !== CARD);
  for (const [path, notebook] of found) {
    if (!Array.isArray(notebook?.cells)) throw new Error(`${path} is no notebook. Nothing was changed.`);
  }
  const files = await readAll();
  const aside = [];
  for (const [path, notebook] of found) {
    const old = files.get(path);
    const same = old && JSON.stringify(old.content) === JSON.stringify(notebook);
    if (!same) aside.push(await layBy(path, old));
    await write([model(path, notebook, "notebook", "json")]);
  }
  const card = all.filter(([name]) => name === CARD).map(([, told]) => told).pop();
  if (card) aside.push(await writeCard(card, files.get(CARD)));
  const where = aside.filter(Boolean).length ? ` What was here before is in ${kept}.` : "";
  const tug = card ? [card.serial === undefined ? CARD : `your tug, number ${card.serial}`] : [];
  say(`Taken back: ${[...found.map(([path]) => path), ...tug].join(", ")}.${where}${nameOf(chosen)} Open the lesson anew.`);
}

async function beginAnew(lesson) {
  const aside = await layBy(lesson.file, (await readAll()).get(lesson.file));
  await withFiles("readwrite", (files) => done(files.delete(lesson.file)));
  say(`${lesson.title} is as it was handed out.${aside ? ` Your work so far is ${aside}.` : ""}`);
}

/** Write a card in place of one that says something else, and give where that one is now. */
async function writeCard(card, old) {
  const text = JSON.stringify(card);
  const aside = old && JSON.stringify(cardOf(old)) !== text ? await layBy(CARD, old) : "";
  await write([model(CARD, text, "file", "text")]);
  return aside;
}

async function setSerial(text) {
  if (!/^\d+$/.test(text.trim()) || Number(text) > mostSerial) {
    throw new Error(`A tug's number is a whole number from 0 to ${mostSerial}.`);
  }
  const old = (await readAll()).get(CARD);
  const known = old && cardOf(old); // a tug of one's own keeps its wiring
  const card = { ...known, serial: Number(text) };
  const words = `Your tug is number ${card.serial} from the next run on, also in a lesson that is open.`;
  const told = document.getElementById("said").textContent.startsWith(words);
  if (told && known?.serial === card.serial) return; // by the field, before its button
  const aside = await (known ? write([model(CARD, JSON.stringify(card), "file", "text")]) : writeCard(card, old));
  const where = aside ? ` What ${CARD} was before could not be read; it is ${aside} now.` : "";
  say(`${words}${where}`);
}

/** Let a button do something; what goes wrong is said, and nothing is half done. */
function on(id, kind, deed) {
  document.getElementById(id).addEventListener(kind, async (event) => {
    event.preventDefault();
    try {
      await deed(event);
    } catch (fault) {
      say(`That did not work: ${fault.message}`);
    }
    await show();
  });
}

on("hand-in", "click", handIn);
on("back", "change", (event) => takeBack([...event.target.files]));
// What stands in a field counts, whether its button is pressed or not.
for (const [id, kind] of [["tug", "submit"], ["serial", "change"]]) {
  on(id, kind, () => setSerial(document.getElementById("serial").value));
}
document.getElementById("name").addEventListener("change", nameNow);
for (const lesson of lessons) on(`anew-${lesson.id}`, "click", () => beginAnew(lesson));
addEventListener("pageshow", show);
document.addEventListener("visibilitychange", show);
// Whoever reads here at a desk opens a lesson soon: what its kernel needs is fetched meanwhile.
if (matchMedia("(pointer: fine)").matches && !navigator.connection?.saveData) {
  for (const name of ["kernel.pack", "pyodide.asm.wasm", "python_stdlib.zip"]) {
    const link = document.head.appendChild(document.createElement("link"));
    Object.assign(link, { rel: "prefetch", href: new URL(name, import.meta.url) });
  }
}
document.getElementById("name").value = localStorage.getItem(NAME) ?? "";
navigator.storage?.persist?.(); // asks the browser not to clear the store by itself
show();
