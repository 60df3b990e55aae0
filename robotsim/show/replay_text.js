// The texts beside the pictures: the program with the line that runs, what was printed and sent,
// and the numbers at the cursor.

function element(tag, name, more = {}) {
  const made = document.createElement(tag);
  if (name) made.className = `quay-${name}`;
  return Object.assign(made, more);
}

// One run's program, and what it printed and sent by radio.
function makePage(run, number, many) {
  const box = element("div", "page");
  const name = many ? `${run.label}: ` : "";
  const rows = {};
  const program = element("div", "program");
  program.tabIndex = 0;
  program.setAttribute("role", "region");
  program.setAttribute("aria-label", `${name}program`);
  for (const [file, text] of Object.entries(run.files)) {
    if (Object.keys(run.files).length > 1) program.append(element("div", "file", { textContent: file }));
    rows[file] = text.replace(/\n$/, "").split("\n").map((line, k) => {
      const row = element("div", "row");
      row.append(element("span", "no", { textContent: k + 1 }), element("span", "code", { textContent: line || " " }));
      program.append(row);
      return row;
    });
  }
  const told = [
    ...run.printed.x.map((text, k) => [run.printed.t[k], text, "print"]),
    ...run.radio.x.map((text, k) => [run.radio.t[k], text, "radio"]),
  ].sort((a, b) => a[0] - b[0]);
  const console_ = element("div", "console");
  console_.tabIndex = 0;
  console_.setAttribute("role", "region");
  console_.setAttribute("aria-label", `${name}printed lines and messages`);
  const lines = told.map(([t, text, kind]) => {
    const row = element("div", `told quay-${kind}`);
    row.append(element("span", "no", { textContent: t.toFixed(2) }), element("span", "code", { textContent: text }));
    console_.append(row);
    return { t, row };
  });
  addPart(box, `${name}${run.program}`, program, `quay-run-${number}`);
  if (run.problem) {
    const row = (rows[run.problem.file] || [])[run.problem.line - 1];
    if (row) row.dataset.failed = "true";
    box.append(element("div", "problem", { textContent: run.problem.words }));
  }
  if (!run.lines.t.length) {
    program.append(element("div", "note", { textContent: "Which line was running is not known of this run." }));
  }
  if (told.length) addPart(box, `${name}printed${run.radio.t.length ? " and radio" : ""}`, console_, `quay-run-${number}`);
  return { box, rows, program, console: console_, lines, shown: -1, lit: [] };
}

function addPart(box, words, body, name) {
  const part = element("div", "part");
  part.append(element("div", `name ${name}`, { textContent: words }), body);
  box.append(part);
}

// What stands beside the tug enlarged: names and values at a time.
function wordsAt(run, time, many) {
  const t = Math.min(time, run.seconds);
  const [x, y, heading] = poseAt(run, t);
  const speed = (trackAt(run, "left", t) + trackAt(run, "right", t)) / 2;
  const degrees = (heading * 180) / Math.PI;
  const here = lineAt(run, t);
  const name = many ? [["of", run.label]] : [];
  return [
    ...name, ["x, y", `${signed(x, 3)}, ${signed(y, 3)} m`], ["heading", `${signed(degrees, 1)}°`],
    ["speed", `${signed(speed, 2)} m/s`],
    ...(run.tracks.volts ? [["battery", `${trackAt(run, "volts", t).toFixed(2)} V`]] : []),
    ["command", commandWords(run, lastBefore(run.commands.t, t)) || "none yet"],
    ...(here ? [["line", `${here.line}`]] : []),
  ];
}

// Light up the line that runs, mark those that ran since the text was last changed.
function turnPage(page, run, t, begun) {
  for (const row of page.lit) row.className = "quay-row";
  page.lit = [];
  const names = Object.keys(run.files);
  const last = lastBefore(run.lines.t, t);
  for (let k = Math.max(lastBefore(run.lines.t, begun), last - 400, 0); k <= last; k++) {
    const row = (page.rows[names[run.lines.f[k]]] || [])[run.lines.l[k] - 1];
    if (row) {
      row.className = "quay-row quay-ran";
      page.lit.push(row);
    }
  }
  const here = lineAt(run, t);
  const row = here && (page.rows[here.file] || [])[here.line - 1];
  const failed = page.program.querySelector("[data-failed]");
  if (!row && failed) reveal(page.program, failed);
  if (row) {
    row.className = "quay-row quay-runs";
    page.lit.push(row);
    reveal(page.program, row);
  }
  tellPage(page, t);
}

// Show what has been printed and sent until now.
function tellPage(page, t) {
  let shown = page.lines.findIndex((line) => line.t > t + TICK);
  if (shown < 0) shown = page.lines.length;
  if (shown === page.shown) return;
  page.lines.forEach(({ row }, k) => row.classList.toggle("quay-later", k >= shown));
  page.shown = shown;
  if (shown) reveal(page.console, page.lines[shown - 1].row);
}

// Bring a row into view within its own box, without moving the page.
function reveal(box, row) {
  const low = row.offsetTop - box.offsetTop;
  if (low < box.scrollTop || low + row.offsetHeight > box.scrollTop + box.clientHeight) {
    box.scrollTop = low - box.clientHeight / 2;
  }
}
