// What saved notebooks show, and what of them would be marked. As checks/home/progress.py and
// checks/course say it of a folder; tests hold that both find the same.

const PROGRAM = /^(?:[ \t]*\r?\n)*[ \t]*%%program[ \t]+([A-Za-z_][A-Za-z0-9_]*\.py)[ \t\r]*(?:\n([^]*))?$/;
const JUDGED = /data-judged='([^']*)'/;
const DASHES = ["-home", "-goes-on"]; // end the ids of two cells that every copy has

const whole = (text) => [text ?? ""].flat().join("");
const textOf = (cell) => whole(cell.source);
const cellsOf = (notebook) => (Array.isArray(notebook?.cells) ? notebook.cells : []);
const asked = (cell) => cell.metadata?.nbgrader?.grade;
const fill = (words, file, other) =>
  words.replaceAll("{}", file).replaceAll("{file}", file).replaceAll("{other}", other);

/** Tell whether any cell of a notebook has run. */
export const begun = (notebook) => cellsOf(notebook).some((cell) => cell.execution_count);

/** Give a short mark of a program's text (CRC-32). */
export function textMark(text) {
  let sum = ~0;
  for (const byte of new TextEncoder().encode(text.replaceAll("\r\n", "\n").replace(/[ \t\r\n]+$/, ""))) {
    sum ^= byte;
    for (let bit = 0; bit < 8; bit += 1) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
  }
  return (~sum >>> 0).toString(16).padStart(8, "0");
}

/** Give the points that a check's output shows, null where there are none. */
function shown(cell, most) {
  const found = (cell.outputs ?? []).find((each) => each.output_type === "execute_result");
  const text = whole(found?.data?.["text/plain"]).trim();
  const value = text ? Number(text) : NaN;
  return Number.isFinite(value) ? Math.min(Math.max(value, 0), most) : null;
}

/** Say of which program a check's card no longer speaks; "" if it does, or does not tell. */
function notAsChecked(cell, files, words) {
  const html = (cell.outputs ?? []).map((each) => whole(each.data?.["text/html"])).join("");
  const judged = (JUDGED.exec(html)?.[1] ?? "").split(" ").filter(Boolean);
  for (const [name, mark] of judged.map((each) => each.split(":"))) {
    if (!files.has(name)) return fill(words.gone, name);
    if (textMark(files.get(name)) !== mark) return fill(words.changed, name);
  }
  return "";
}

/** Say how far a learner is: points, how much is open, and programs that are not as checked. */
export function far(notebook, words) {
  const found = { points: 0, open: 0, changed: [] };
  const files = new Map();
  for (const cell of cellsOf(notebook)) {
    const program = cell.cell_type === "code" && !asked(cell) ? PROGRAM.exec(textOf(cell)) : null;
    if (program) files.set(program[1], program[2] ?? "");
    if (!asked(cell)) continue;
    if (cell.cell_type === "markdown") {
      found.open += ["", words.answer].includes(textOf(cell).trim()) ? 1 : 0;
      continue;
    }
    const most = cell.metadata.nbgrader.points ?? 0;
    const changed = notAsChecked(cell, files, words);
    const earned = changed ? null : shown(cell, most);
    found.points += earned ?? 0;
    found.open += earned === most ? 0 : 1;
    if (changed) found.changed.push(changed);
  }
  return found;
}

/** Say what of a notebook would not count as its learner thinks; "" if all is well. */
export function amiss(notebook, handedOut, words) {
  const plain = (cell) => textOf(cell).replaceAll("\r\n", "\n").trim();
  const theirs = (cell) => (cell.cell_type === "code" && plain(cell)) || cell.metadata?.nbgrader?.solution;
  const given = new Set(cellsOf(handedOut).map(plain));
  const asks = cellsOf(handedOut).some(asked);
  if (asks && cellsOf(notebook).filter(theirs).every((cell) => given.has(plain(cell)))) {
    return words.unchanged;
  }
  return far(notebook, words).changed.map((each) => `${each}.`).join(" ");
}

/** Give the lesson of which a notebook's cells are, or undefined if that is not one alone. */
function lessonInside(notebook, lessons) {
  const ways = new Map(lessons.flatMap(({ id }) => DASHES.map((end) => [id + end, id])));
  const names = cellsOf(notebook).map((cell) =>
    ways.get(cell.id) ?? (cell.metadata?.nbgrader?.grade_id ?? "").split("-")[0]);
  const ids = new Set(lessons.map(({ id }) => id).filter((id) => names.includes(id)));
  return ids.size === 1 ? [...ids][0] : undefined;
}

/** Say where work on a lesson lies that is not begun under its own name; "" if nowhere. */
export function astray(lesson, lessons, notebooks, words) {
  if (begun(notebooks.get(lesson.file))) return "";
  const own = new Set(lessons.map(({ file }) => file));
  const other = [...notebooks].find(([path, notebook]) => !path.includes("/") && !own.has(path)
    && begun(notebook) && lessonInside(notebook, lessons) === lesson.id);
  return other ? fill(words.hidden, lesson.file, other[0]) : "";
}
