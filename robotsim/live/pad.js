// The pad of a live tug: the table from above, what the tug does, and ways to steer it.  It comes
// after replay_data.js and replay_plan.js in one script (pad.py) and uses their names.

const HOLD_MS = 250; // while a key or a button is held its order is given again so often
const HELD_S = 0.6; // ... and each holds so long: who lets go, or loses the link, stops the tug
const CALM = 350; // ms between two changes of the numbers
const TURN_M = 0.15; // radius of the curves
const SPIN_M = 0.05; // and of the tightest
const WAYS = [
  ["ahead to port", "\u2196", 1, 1], ["ahead", "\u2191", 1, 0], ["ahead to starboard", "\u2197", 1, -1],
  ["turn to port", "\u21ba", 0, 1], ["halt", "halt", 0, 0], ["turn to starboard", "\u21bb", 0, -1],
  ["astern to port", "\u2199", -1, 1], ["astern", "\u2193", -1, 0], ["astern to starboard", "\u2198", -1, -1],
];
const KEYS = { ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowLeft: [0, 1], ArrowRight: [0, -1] };

function piece(tag, name, more = {}, ...inside) {
  const made = document.createElement(tag);
  if (name) made.className = name;
  Object.assign(made, more);
  made.append(...inside);
  return made;
}

class LivePad {
  constructor(root, model) {
    Object.assign(this, { root, model, keys: new Set(), xs: [], ys: [], guard: new Guard(), written: 0 });
    this.scene = model.get("scene");
    this.box = makePlan({ table: this.scene.table, geometry: this.scene.geometry, runs: [] });
    this.build();
    model.on("change:look", () => this.show());
    model.on("change:lines", () => this.write());
    model.on("change:running", () => this.state());
    new ResizeObserver(() => this.resize()).observe(root);
    new MutationObserver(() => this.resize()).observe(document.body, {
      attributes: true, attributeFilter: ["data-jp-theme-light", "data-theme", "class"],
    });
    this.letGo = () => this.release();
    window.addEventListener("blur", this.letGo);
    window.addEventListener("pointerup", this.letGo);
    root.pad = this;
  }

  end() {
    this.release();
    window.removeEventListener("blur", this.letGo);
    window.removeEventListener("pointerup", this.letGo);
  }

  // -- building ------------------------------------------------------------------

  build() {
    const { root, scene } = this;
    root.classList.add("quay-replay", "quay-live");
    root.setAttribute("role", "group");
    root.setAttribute("aria-label", `Pad of ${scene.title}`);
    root.dataset.lmSuppressShortcuts = "true"; // JupyterLab's keys would act on the cell
    this.link = piece("span", "quay-link");
    this.plan = piece("canvas", "quay-plan");
    this.plan.setAttribute("role", "img");
    this.numbers = piece("div", "quay-live-numbers");
    this.log = piece("div", "quay-console quay-live-log", { tabIndex: 0 });
    this.log.setAttribute("role", "log");
    this.log.setAttribute("aria-label", "Orders and reports");
    this.left = piece("div", "", {}, this.plan);
    const right = piece("div", "quay-live-side", {}, this.numbers, this.ways(), this.fast(), this.typed(), this.stopper());
    root.replaceChildren(
      piece("div", "quay-head", {}, piece("span", "quay-title", { textContent: scene.title }), this.link),
      piece("div", "quay-note", { textContent: scene.words }),
      piece("div", "quay-live-main", {}, this.left, right),
      this.log,
    );
    root.onkeydown = (event) => this.key(event, true);
    root.onkeyup = (event) => this.key(event, false);
    this.write();
    this.state();
  }

  ways() {
    const grid = piece("div", "quay-pad", { tabIndex: 0 });
    grid.setAttribute("role", "group");
    grid.setAttribute("aria-label", "Steer: hold a button, or hold the arrow keys; space halts");
    for (const [words, sign, ahead, port] of WAYS) {
      const made = piece("button", sign === "halt" ? "quay-halt" : "", { type: "button", textContent: sign, title: words });
      made.setAttribute("aria-label", words);
      made.onpointerdown = (event) => {
        if (event.button === 0) this.held(ahead, port);
      };
      made.onclick = (event) => {
        if (event.detail === 0) this.steer(ahead, port); // from the keyboard: one short order
      };
      grid.append(made);
    }
    return grid;
  }

  fast() {
    const label = piece("label", "quay-live-fast", {}, "speed ");
    this.speed = piece("input", "", { type: "range", min: 0.05, max: 0.4, step: 0.01, value: 0.15 });
    this.told = piece("span", "quay-clock", { textContent: "0.15 m/s" });
    this.speed.oninput = () => (this.told.textContent = `${Number(this.speed.value).toFixed(2)} m/s`);
    label.append(this.speed, this.told);
    return label;
  }

  typed() {
    this.text = piece("input", "", { type: "text", value: '{"speed": 0.2, "seconds": 2}', spellcheck: false });
    this.text.setAttribute("aria-label", "An order as JSON");
    this.send = piece("button", "", { type: "submit", textContent: "Send" });
    const form = piece("form", "quay-live-order", {}, this.text, this.send);
    form.onsubmit = (event) => {
      event.preventDefault();
      this.model.send({ order: this.text.value, sure: true });
    };
    return form;
  }

  stopper() {
    this.stop = piece("button", "quay-stop", { type: "button", textContent: "Stop" });
    this.stop.onclick = () => this.model.send({ stop: true });
    this.stop.title = "End the run: motors off";
    return this.stop;
  }

  // -- steering ------------------------------------------------------------------

  steer(ahead, port) {
    const speed = Number(this.speed.value);
    if (!ahead && !port) this.order({ speed: 0 });
    else if (!port) this.order({ speed: ahead * speed, seconds: HELD_S });
    else if (ahead) this.order({ speed: ahead * speed, radius: port * TURN_M, seconds: HELD_S });
    else this.order({ speed: Math.min(speed, 0.1), radius: port * SPIN_M, seconds: HELD_S });
  }

  order(what) {
    this.model.send({ order: JSON.stringify(what), sure: false });
  }

  held(ahead, port) {
    this.release(false);
    this.steer(ahead, port);
    if (ahead || port) this.holding = setInterval(() => this.steer(ahead, port), HOLD_MS);
  }

  release(halt = true) {
    if (!this.holding) return;
    clearInterval(this.holding);
    this.holding = null;
    this.keys.clear();
    if (halt) this.order({ speed: 0 });
  }

  key(event, down) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.tagName === "INPUT") return;
    event.stopPropagation();
    if (event.key === " " && down && event.target.tagName !== "BUTTON") {
      this.release(false);
      this.order({ speed: 0 });
      event.preventDefault();
    }
    if (!(event.key in KEYS)) return;
    event.preventDefault();
    if (down === this.keys.has(event.key)) return;
    const keys = new Set(this.keys);
    if (down) keys.add(event.key);
    else keys.delete(event.key);
    const sums = [...keys].map((name) => KEYS[name]).reduce(([a, b], [c, d]) => [a + c, b + d], [0, 0]);
    if (sums[0] || sums[1]) this.held(...sums);
    else this.release();
    this.keys = keys;
  }

  // -- showing -------------------------------------------------------------------

  isDark() {
    const told = document.body.dataset.jpThemeLight;
    if (told !== undefined) return told === "false";
    return window.matchMedia("(prefers-color-scheme: dark)").matches;
  }

  resize() {
    const room = this.root.clientWidth;
    if (!room) return;
    this.root.classList.toggle("quay-dark", this.isDark());
    this.root.classList.toggle("quay-narrow", room < 620);
    const style = getComputedStyle(this.root);
    this.inks = {};
    for (const name of ["floor", "wall", "water", "deck", "outline", "tread", "night", "eye", "target", "paper"]) {
      this.inks[name] = style.getPropertyValue(`--quay-${name}`).trim();
    }
    this.inks.path = style.getPropertyValue("--quay-path-first").trim();
    const wide = this.left.clientWidth;
    sized(this.plan, wide, Math.max(120, Math.min(wide * (this.box.high / this.box.wide), 420)));
    this.floor = document.createElement("canvas");
    this.floor.width = this.plan.width;
    this.floor.height = this.plan.height;
    const context = this.floor.getContext("2d");
    const scale = inMetres(context, this.box, this.floor);
    this.pixel = (window.devicePixelRatio || 1) / scale;
    drawTable(context, { table: this.scene.table, targets: [] }, this.inks, this.pixel);
    this.show();
  }

  show() {
    const look = this.model.get("look");
    if (!look.pose || !this.inks) return;
    const [x, y] = look.pose;
    if (!this.xs.length || Math.hypot(x - this.xs.at(-1), y - this.ys.at(-1)) > 0.004) {
      this.xs.push(x);
      this.ys.push(y);
    }
    const { plan, inks, pixel } = this;
    const context = plan.getContext("2d");
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, plan.width, plan.height);
    context.drawImage(this.floor, 0, 0);
    inMetres(context, this.box, plan);
    drawPath(context, this.xs, this.ys, this.xs.length - 1, [], inks.path, null, pixel);
    if (look.ball) disc(context, ...look.ball, this.scene.geometry.ball, "#3d434b", inks.outline, pixel);
    drawTug(context, { geometry: this.scene.geometry }, {
      inks, pixel, pose: look.pose, arm: look.arm, lamps: this.guard.pass(look.lamps, performance.now()),
      eyes: [null, null, null, null], ways: [0, 0], blurred: true, dashes: [], ink: inks.outline,
    });
    Object.assign(this.root.dataset, { x: x.toFixed(3), y: y.toFixed(3), link: look.link });
    const now = performance.now();
    if (now - this.written >= CALM) {
      this.written = now;
      this.tell(look);
    }
  }

  tell(look) {
    const degrees = ((look.pose[2] * 180) / Math.PI) % 360;
    const rows = [
      ["speed", `${look.speed.toFixed(2)} m/s`], ["turning", `${((look.turn_rate * 180) / Math.PI).toFixed(0)} \u00b0/s`],
      ["heading", `${degrees.toFixed(0)}\u00b0`], ["battery", `${look.volts.toFixed(2)} V`], ["time", `${look.t.toFixed(1)} s`],
    ];
    this.numbers.replaceChildren(...rows.map(([name, value]) => piece("div", "quay-number", {},
      piece("span", "quay-what", { textContent: name }), piece("span", "quay-value", { textContent: value }))));
    const words = { up: "link up", lost: look.cut ? "link lost: motors off" : "link lost", none: "no broker: this pad only" };
    this.link.textContent = this.model.get("running") ? words[look.link] : "stopped";
    this.link.classList.toggle("quay-lost", look.link === "lost");
    this.plan.setAttribute("aria-label", `The tug at x ${look.pose[0].toFixed(2)} m, y ${look.pose[1].toFixed(2)} m, ${look.speed.toFixed(2)} m/s.`);
  }

  write() {
    this.log.replaceChildren(...this.model.get("lines").map((line) => piece("div", "quay-told", { textContent: line })));
    this.log.scrollTop = this.log.scrollHeight;
  }

  state() {
    const running = this.model.get("running");
    if (!running) this.release(false);
    for (const made of this.root.querySelectorAll("button, input")) made.disabled = !running;
    const look = this.model.get("look");
    if (look.pose) this.tell(look);
  }
}

function render({ model, el }) {
  const root = document.createElement("div");
  el.append(root);
  const pad = new LivePad(root, model);
  return () => pad.end();
}

export default { render };
