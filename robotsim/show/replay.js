// The replay: a recording that plays, in a notebook with a kernel and on a page without one.

const SPEEDS = [0.1, 0.25, 0.5, 1, 2, 4, 8];
const SPANS = [20, 5, 1, 0.2, 0.05]; // in s
const CALM_MS = 350; // between two changes of what is lit up in the text: below three a second
const SLOW_MS = 500; // between two pictures where reduced motion is asked for

class Replay {
  constructor(root, data) {
    Object.assign(this, { root, data, t: 0, speed: 1, playing: false, watchers: [] });
    this.guards = data.runs.map(() => new Guard());
    this.box = makePlan(data);
    this.strips = makeStrips(data);
    this.reduced = window.matchMedia("(prefers-reduced-motion: reduce)");
    this.build();
    this.follow();
    root.replay = this;
    this.seek(data.at);
  }

  // -- what others may ask -------------------------------------------------------

  seek(t) {
    this.t = Math.min(Math.max(Number(t) || 0, 0), this.data.seconds);
    this.show(true);
  }

  play() {
    if (this.t >= this.data.seconds) this.t = 0;
    this.playing = true;
    this.last = this.drawn = this.lit = 0;
    this.button();
    requestAnimationFrame((now) => this.frame(now));
  }

  pause() {
    this.playing = false;
    this.button();
    this.show(true);
  }

  step(way) {
    this.playing = false;
    this.button();
    const times = this.data.runs[0].commands.t;
    const k = lastBefore(times, this.t);
    if (way > 0) this.seek(k + 1 < times.length ? times[k + 1] : this.data.seconds);
    else {
      const before = lastBefore(times, this.t - 2 * TICK);
      this.seek(before < 0 ? 0 : times[before]);
    }
  }

  state() {
    return {
      t: this.t, playing: this.playing, line: lineAt(this.data.runs[0], this.t),
      poses: this.data.runs.map((run) => poseAt(run, this.t)), lamps: this.shownLamps,
      eyes: eyesAt(this.data.runs[0], this.t),
    };
  }

  // -- building ------------------------------------------------------------------

  build() {
    const { root, data } = this;
    root.classList.add("quay-replay");
    root.setAttribute("role", "group");
    root.setAttribute("aria-label", `Replay: ${data.title}`);
    this.head = element("div", "head");
    this.head.append(element("div", "title", { textContent: data.title }), this.legend());
    this.plan = element("canvas", "plan");
    this.close = element("canvas", "close");
    this.stripes = element("canvas", "strips");
    for (const [canvas, words] of [
      [this.plan, data.runs.map((run) => run.words).join(" ")],
      [this.close, "The tug enlarged, bow up: lamps, wheels, arm and line eyes."],
      [this.stripes, `Strips over time: ${this.strips.map((strip) => strip.name).join("; ")}.`],
    ]) {
      canvas.setAttribute("role", "img");
      canvas.setAttribute("aria-label", words);
    }
    this.numbers = element("div", "numbers");
    this.left = element("div", "left");
    this.right = element("div", "right");
    const under = element("div", "under");
    under.append(this.close, this.numbers);
    this.left.append(this.plan, under);
    this.right.append(this.stripes);
    const main = element("div", "main");
    main.append(this.left, this.right);
    this.said = element("div", "said");
    this.said.setAttribute("aria-live", "polite");
    root.replaceChildren(this.head, this.bar(), this.moments(), main, this.texts(), this.said);
    // JupyterLab's and Notebook's keys would act on the cell; they look at what has the focus.
    for (const node of root.querySelectorAll("button, select, input, [tabindex]")) {
      node.dataset.lmSuppressShortcuts = "true";
    }
  }

  legend() {
    const { runs } = this.data;
    if (runs.length === 1) return element("div", "ending", { textContent: runs[0].ending });
    const legend = element("div", "legend");
    runs.forEach((run, k) => legend.append(
      element("span", `run quay-run-${k}`, { textContent: `${DASH_NAMES[k]}: ${run.label}` })));
    return legend;
  }

  bar() {
    const bar = element("div", "bar");
    const button = (words, label, act) => {
      const made = element("button", "", { type: "button", textContent: words, onclick: act });
      made.setAttribute("aria-label", label);
      made.title = label;
      bar.append(made);
      return made;
    };
    button("|\u25c2", "One command back (key: comma)", () => this.step(-1));
    this.go = button("", "", () => (this.playing ? this.pause() : this.play()));
    button("\u25b8|", "One command on (key: full stop)", () => this.step(1));
    this.slider = element("input", "", { type: "range", min: 0, max: this.data.seconds, step: 0.01 });
    this.slider.setAttribute("aria-label", "Time in the recording");
    this.slider.oninput = () => {
      this.seek(this.slider.value);
    };
    this.clock = element("span", "clock");
    this.choice = this.select("Speed of the replay", SPEEDS.map((speed) => [speed, `speed ${speed}`]), 1,
      (speed) => (this.speed = speed));
    const spans = SPANS.filter((span) => span < this.data.seconds).map((span) => [span, `strips ${span} s`]);
    const zoom = this.select("How much time the strips show", [[0, "strips all"], ...spans], 0, (span) => {
      this.zoom = span;
      this.show(true);
    });
    bar.append(this.slider, this.clock, this.choice, zoom);
    return bar;
  }

  select(label, options, first, act) {
    const made = element("select", "");
    made.setAttribute("aria-label", label);
    made.append(...options.map(([value, textContent]) => element("option", "", { value, textContent })));
    made.value = String(first);
    made.onchange = () => act(Number(made.value));
    return made;
  }

  moments() {
    const list = element("div", "moments");
    for (const [t, words, bad] of momentsOf(this.data).slice(0, 12)) {
      const made = element("button", bad ? "bad" : "", {
        type: "button", textContent: `${t.toFixed(2)} s: ${words}`, onclick: () => this.seek(t),
      });
      made.setAttribute("aria-label", `Jump to ${t.toFixed(2)} s: ${words}`);
      list.append(made);
    }
    return list;
  }

  texts() {
    const texts = element("div", "texts");
    const many = this.data.runs.length > 1;
    const told = this.data.runs.slice(0, this.data.runs.length > 2 ? 1 : 2); // of more, the first one's
    this.pages = told.map((run, number) => makePage(run, number, many));
    for (const page of this.pages) texts.append(page.box);
    return texts;
  }

  // -- events --------------------------------------------------------------------

  follow() {
    const { root, stripes } = this;
    const jump = (event) => {
      const place = event.clientX - stripes.getBoundingClientRect().left;
      const [begin, end] = this.laid.span;
      this.seek(begin + Math.min(Math.max((place - 1) / (this.wide - SIDE - 2), 0), 1) * (end - begin - TICK));
    };
    stripes.onpointerdown = (event) => {
      stripes.setPointerCapture(event.pointerId);
      jump(event);
    };
    stripes.onpointermove = (event) => event.buttons && jump(event);
    root.onkeydown = (event) => this.key(event);
    this.reduced.onchange = () => this.show(true);
    for (const [name, printing] of [["beforeprint", true], ["afterprint", false]]) {
      window.addEventListener(name, () => {
        this.printing = printing;
        this.resize();
      });
    }
    new ResizeObserver(() => this.resize()).observe(root);
    new MutationObserver(() => this.resize()).observe(document.body, {
      attributes: true, attributeFilter: ["data-jp-theme-light", "data-theme", "class"],
    });
    window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.resize());
  }

  key(event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.tagName === "SELECT") return;
    const acts = {
      " ": () => (this.playing ? this.pause() : this.play()),
      ",": () => this.step(-1), ".": () => this.step(1),
      Home: () => this.seek(0), End: () => this.seek(this.data.seconds),
    };
    const act = acts[event.key];
    const pressed = event.target.tagName === "BUTTON" && event.key === " ";
    if (act && !pressed) {
      act();
      event.preventDefault();
    }
    event.stopPropagation();
  }

  // -- drawing -------------------------------------------------------------------

  isDark() {
    if (this.printing) return false; // paper is white
    const told = document.body.dataset.jpThemeLight;
    if (told !== undefined) return told === "false";
    return window.matchMedia("(prefers-color-scheme: dark)").matches;
  }

  resize() {
    const { root, data } = this;
    const room = root.clientWidth;
    if (!room) return;
    root.classList.toggle("quay-dark", this.isDark());
    root.classList.toggle("quay-narrow", room < 720);
    this.inks = this.readInks();
    const left = this.left.clientWidth;
    const plan = Math.min(left * (this.box.high / this.box.wide), 0.62 * left, 460);
    sized(this.plan, left, Math.max(plan, 120));
    const many = data.runs.length;
    const each = Math.min(132, Math.floor(left / many));
    sized(this.close, each * many, (150 / 132) * each);
    this.wide = this.right.clientWidth;
    this.laid = null;
    this.layOut();
    this.floor = document.createElement("canvas");
    this.floor.width = this.plan.width;
    this.floor.height = this.plan.height;
    const context = this.floor.getContext("2d");
    const scale = inMetres(context, this.box, this.floor);
    this.pixel = (window.devicePixelRatio || 1) / scale;
    drawTable(context, data, this.inks, this.pixel);
    root.dataset.metre = scale / (window.devicePixelRatio || 1);
    this.show(true);
  }

  // The part of the time that the strips show: all, or a window that holds the cursor.
  span() {
    const { seconds } = this.data;
    const length = Math.min(this.zoom || seconds, seconds);
    // at the very end the cursor stands in the last window, not in one behind it
    const last = Math.max(Math.ceil(seconds / length - 1e-9) - 1, 0);
    const begin = Math.min(Math.floor((this.t + 1e-9) / length), last) * length;
    return [begin, begin + length];
  }

  layOut() {
    const span = this.span();
    if (this.laid && String(this.laid.span) === String(span)) return;
    const room = this.root.classList.contains("quay-narrow") ? 0 : this.plan.clientHeight + 166;
    this.laid = layStrips(this.strips, this.wide, room, span, this.inks);
    this.pen = sized(this.stripes, this.wide, this.laid.high);
    this.under = document.createElement("canvas");
    drawStrips(sized(this.under, this.wide, this.laid.high), this.data, this.laid, this.wide, this.inks);
  }

  readInks() {
    const style = getComputedStyle(this.root);
    const ink = (name) => style.getPropertyValue(`--quay-${name}`).trim();
    const inks = {};
    for (const name of ["ink", "quiet", "paper", "ground", "rule", "floor", "wall", "water", "deck",
      "outline", "tread", "night", "eye", "cursor", "bad", "target", "ghost"]) inks[name] = ink(name);
    inks.runs = ["first", "second", "third", "ink", "fifth", "sixth"].map(ink);
    inks.paths = ["path-first", "path-second", "target", "outline", "path-fifth", "path-sixth"].map(ink);
    inks.texts = ["first-text", "second-text", "third-text", "ink", "fifth", "sixth"].map(ink);
    inks.eyes = [ink("first"), ink("second"), ink("third"), ink("ink")];
    return inks;
  }

  frame(now) {
    if (!this.playing) return;
    if (!this.root.isConnected) {
      this.playing = false;
      return;
    }
    const passed = this.last ? Math.min(now - this.last, 1000) : 0;
    this.last = now;
    this.t += (passed / 1000) * this.speed;
    if (this.t >= this.data.seconds) {
      this.t = this.data.seconds;
      this.pause();
      return;
    }
    if (!this.reduced.matches || now - this.drawn >= SLOW_MS) {
      this.drawn = now;
      this.show(false, now);
    }
    requestAnimationFrame((later) => this.frame(later));
  }

  show(still, now = performance.now()) {
    this.slider.value = this.t;
    this.root.dataset.at = this.t.toFixed(3);
    if (!this.laid) return;
    this.layOut();
    this.lamps(still, now);
    this.drawPlan();
    this.drawClose();
    const { pen, under, wide } = this;
    pen.drawImage(under, 0, 0, wide, this.laid.high);
    drawCursor(pen, this.data, this.laid, this.t, wide, this.inks);
    if (still || now - this.lit >= CALM_MS) {
      this.write(still, this.lit ? now - this.lit : 0);
      this.lit = now;
    }
    this.clock.textContent = `${this.t.toFixed(2)} of ${this.data.seconds.toFixed(2)} s`;
    for (const watch of this.watchers) watch(still);
  }

  lamps(still, now) {
    this.calmed = false;
    this.shownLamps = this.data.runs.map((run, k) => {
      const t = Math.min(this.t, run.seconds);
      const { shown, calmed } = this.playing ? calmLampsAt(run, t, this.speed) : { shown: lampsAt(run, t), calmed: false };
      this.calmed = this.calmed || calmed;
      return this.guards[k].pass(shown, now);
    });
    clearTimeout(this.later);
    this.late = !this.playing && this.data.runs.some((run, k) =>
      String(this.shownLamps[k]) !== String(lampsAt(run, Math.min(this.t, run.seconds))));
    if (this.late) this.later = setTimeout(() => this.show(true), 300);
  }

  look(run, k, pixel) {
    const t = Math.min(this.t, run.seconds);
    const fast = Math.max(Math.abs(trackAt(run, "left", t)), Math.abs(trackAt(run, "right", t)));
    return {
      inks: this.inks, pixel, pose: poseAt(run, t), arm: trackAt(run, "arm", t), lamps: this.shownLamps[k],
      eyes: eyesAt(run, t), ways: [trackAt(run, "left_way", t), trackAt(run, "right_way", t)],
      ink: k ? this.inks.paths[k] : this.inks.outline, dashes: k ? [4, 3] : [],
      blurred: this.reduced.matches || (this.playing && fast * this.speed / 60 > 0.0045),
    };
  }

  drawPlan() {
    const context = this.plan.getContext("2d");
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, this.plan.width, this.plan.height);
    context.drawImage(this.floor, 0, 0);
    inMetres(context, this.box, this.plan);
    const { inks, pixel } = this;
    this.data.runs.forEach((run, k) => {
      const until = Math.min(Math.floor(this.t / run.step + 1e-6), run.tracks.x.length - 1);
      const { float_x: xs, float_y: ys } = run.tracks;
      if (xs) {
        drawPath(context, xs, ys, until, [2, 3], inks.quiet, null, pixel);
        disc(context, trackAt(run, "float_x", this.t), trackAt(run, "float_y", this.t),
          this.data.geometry.ball, k ? null : inks.wall, inks.outline, 1.5 * pixel);
      }
      drawPath(context, run.tracks.x, run.tracks.y, until, DASHES[k], inks.paths[k], inks.floor, pixel);
    });
    for (let k = this.data.runs.length - 1; k >= 0; k--) {
      context.globalAlpha = k ? 0.85 : 1;
      drawTug(context, this.data, this.look(this.data.runs[k], k, pixel));
    }
    context.globalAlpha = 1;
  }

  drawClose() {
    const context = this.close.getContext("2d");
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, this.close.width, this.close.height);
    const wide = this.close.width / this.data.runs.length;
    this.data.runs.forEach((run, k) => {
      const scale = wide / 0.15;
      context.setTransform(scale, 0, 0, -scale, wide * (k + 0.5), this.close.height - 0.07 * scale);
      const look = this.look(run, k, (window.devicePixelRatio || 1) / scale);
      drawTug(context, this.data, { ...look, pose: [0, 0, Math.PI / 2] });
    });
  }

  // The numbers, the line that runs, what was printed: text, and so changed only now and then.
  write(still, passed) {
    const many = this.data.runs.length > 1;
    const words = this.data.runs.map((run) => wordsAt(run, this.t, many));
    this.numbers.replaceChildren(...words.map((rows) => {
      const column = element("div", "column");
      for (const [name, value] of rows) {
        const row = element("div", "number");
        row.append(element("span", "what", { textContent: name }), element("span", "value", { textContent: value }));
        column.append(row);
      }
      return column;
    }));
    if (this.calmed) this.numbers.append(element("div", "note", { textContent: "A lamp flashes more than three times a second at this speed: shown as its mean." }));
    const begun = this.t - (passed / 1000) * this.speed;
    this.pages.forEach((page, k) => turnPage(page, this.data.runs[k], this.t, still ? this.t : begun));
    const said = words[0].map(([name, value]) => `${name} ${value}`).join(", ");
    this.slider.setAttribute("aria-valuetext", `${this.t.toFixed(2)} s`);
    if (still) this.said.textContent = `At ${this.t.toFixed(2)} s: ${said}.`;
  }

  button() {
    this.go.textContent = this.playing ? "\u2016 Pause" : "\u25b6 Play";
    this.go.setAttribute("aria-label", this.playing ? "Pause (key: space)" : "Play (key: space)");
  }
}

async function startReplay(root, text) {
  try {
    const data = await unpack(text);
    const replay = new Replay(root, data);
    replay.button();
    replay.resize();
    return replay;
  } catch (fault) {
    root.append(element("div", "note", { textContent: `This browser cannot play the replay (${fault}). The picture above tells what happened.` }));
    return null;
  }
}

async function render({ model, el }) {
  const root = document.createElement("div");
  el.append(root);
  const replay = await startReplay(root, model.get("packed"));
  if (!replay) return;
  const changed = {
    at: () => Math.abs(model.get("at") - replay.t) > 0.006 && replay.seek(model.get("at")),
    speed: () => {
      replay.speed = model.get("speed");
      replay.choice.value = String(replay.speed);
    },
    playing: () => model.get("playing") !== replay.playing && (replay.playing ? replay.pause() : replay.play()),
  };
  for (const [name, act] of Object.entries(changed)) {
    model.on(`change:${name}`, act);
    act();
  }
  let told = 0;
  replay.watchers.push((still) => {
    if (!still && performance.now() - told < 200) return;
    told = performance.now();
    model.set({ at: replay.t, playing: replay.playing });
    model.save_changes();
  });
}

export default { render };
