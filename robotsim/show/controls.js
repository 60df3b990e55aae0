// Controls: sliders and choices below a picture.  The browser's own, so that keys, touch and
// screen readers work; what is moved is asked for at once, and again when the picture has come.

// Jupyter's keys are asked for at the part that has the focus: an arrow moves it, and no cell.
function leaveAlone(tool) {
  tool.dataset.lmSuppressShortcuts = "true";
  tool.addEventListener("keydown", (event) => event.stopPropagation());
}

// A number that was typed, or given at first, stands as it is; by hand a slider goes in its steps.
const fine = (knob) => 10 ** -knob.places;

// Puts the number beside a slider, where another one can be typed; gives what keeps it in step.
function number(label, knob, slider, ask) {
  const box = label.appendChild(document.createElement("input"));
  Object.assign(box, { type: "number", min: knob.low, max: knob.high, step: fine(knob) });
  box.setAttribute("aria-label", knob.label + ", as a number");
  const tell = () => { box.value = Number(slider.value).toFixed(knob.places); };
  box.addEventListener("change", () => {
    if (box.value !== "") Object.assign(slider, { step: fine(knob), value: box.value });
    tell();
    ask();
  });
  leaveAlone(box);
  tell();
  return tell;
}

function render({ model, el }) {
  const panel = document.createElement("div");
  panel.className = "quay-controls";
  panel.setAttribute("role", "group");
  panel.setAttribute("aria-label", "Move the picture above");
  let waits = false, moved = false, timer = 0;

  const ask = () => {
    if (waits) { moved = true; return; }
    waits = true;
    moved = false;
    const set = {};
    for (const one of panel.querySelectorAll("[data-name]")) set[one.dataset.name] = Number(one.value);
    model.set("asked", set);
    model.save_changes();
    clearTimeout(timer);
    timer = setTimeout(() => { note.hidden = false; }, 3000);
  };
  model.on("change:drawn", () => {
    waits = false;
    clearTimeout(timer);
    note.hidden = true;
    if (moved) ask();
  });

  for (const knob of model.get("knobs")) {
    const label = panel.appendChild(document.createElement("label"));
    const name = label.appendChild(document.createElement("span"));
    name.textContent = knob.label;
    const tool = label.appendChild(document.createElement(knob.options ? "select" : "input"));
    if (knob.options) {
      for (const [place, words] of knob.options.entries()) tool.add(new Option(words, place));
    } else {
      Object.assign(tool, { type: "range", min: knob.low, max: knob.high, step: fine(knob) });
      const byHand = () => { tool.step = knob.step; };
      tool.addEventListener("pointerdown", byHand);
      tool.addEventListener("keydown", (event) => { if (/^(Arrow|Page|Home|End)/.test(event.key)) byHand(); });
    }
    tool.value = model.get("asked")[knob.name] ?? knob.value;
    tool.dataset.name = knob.name;
    const tells = knob.options ? () => {} : number(label, knob, tool, ask);
    tool.addEventListener("input", () => { tells(); ask(); });
    leaveAlone(tool);
  }
  const note = panel.appendChild(document.createElement("small"));
  note.setAttribute("role", "status");
  note.textContent = "Nothing moves? The program of this notebook is busy or was restarted: run this cell again.";
  note.hidden = true;
  el.replaceChildren(panel);
}
export default { render };
