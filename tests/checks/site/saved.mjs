// Tell what a site's page finds in saved notebooks: node saved.mjs PAGE CASES
// CASES is a file with {words, lessons, files, given}, as JSON: file to notebook, and to the copy.

import fs from "node:fs";
import path from "node:path";

const [page, cases] = process.argv.slice(2);
const text = fs.readFileSync(path.join(page, "saved.js"), "utf8");
const { amiss, astray, begun, far, textMark } = await import(`data:text/javascript,${encodeURIComponent(text)}`);
const { words, lessons, files, given, texts } = JSON.parse(fs.readFileSync(cases, "utf8"));
const notebooks = new Map(Object.entries(files));
const found = lessons.map((lesson) => {
  const notebook = notebooks.get(lesson.file);
  const { points, open, changed } = far(notebook, words);
  return {
    begun: Boolean(begun(notebook)), points, open, changed,
    amiss: amiss(notebook, given[lesson.file], words), astray: astray(lesson, lessons, notebooks, words),
  };
});
console.log(JSON.stringify({ found, marks: texts.map(textMark) }));
