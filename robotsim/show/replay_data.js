// The replay's data: unpacked, and what is true at a time.  The parts of the player are put one
// after the other into one script (player.py), so they share their names and import nothing.

const MODES = ["coast", "brake", "fast decay", "slow decay", "mixed", "full"];
const TICK = 1e-5; // seconds: see pack.py
const FLASHES = 3; // in any one second, at most: WCAG 2.2, success criterion 2.3.1

async function unpack(text) {
  const plain = atob(text.slice(text.indexOf(",") + 1)); // perhaps a data URL
  const bytes = Uint8Array.from(plain, (letter) => letter.charCodeAt(0));
  const whole = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const data = JSON.parse(await new Response(whole).text());
  data.runs.forEach(prepare);
  data.seconds = Math.max(...data.runs.map((run) => run.seconds));
  return data;
}

function summed(steps, unit) {
  const values = new Float64Array(steps.length);
  let sum = 0;
  for (let k = 0; k < steps.length; k++) values[k] = (sum += steps[k]) * unit;
  return values;
}

function prepare(run) {
  for (const [name, [unit, ...steps]] of Object.entries(run.tracks)) {
    run.tracks[name] = summed(steps, unit);
  }
  for (const side of ["left", "right"]) {
    // how far each wheel has turned, in m: its treads show it
    const speeds = run.tracks[side] || [];
    let way = 0;
    run.tracks[side + "_way"] = Float64Array.from(speeds, (speed) => (way += speed * run.step));
  }
  const timed = [run.duty.left, run.duty.right, run.lamps, run.printed, run.radio, run.commands];
  for (const part of [...timed, ...run.eyes, run.lines]) {
    if (part) part.t = summed(part.t, TICK);
  }
  for (const eye of run.eyes) eye.v = summed(eye.v, 1);
}

// The place of the last of rising times that is not after t, -1 if there is none.
function lastBefore(times, t) {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] <= t + TICK / 2) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

// A track's value at a time, linear between samples.
function trackAt(run, name, t) {
  const values = run.tracks[name];
  if (!values || !values.length) return undefined;
  const place = Math.min(Math.max(t / run.step, 0), values.length - 1);
  const k = Math.min(Math.floor(place), values.length - 2);
  if (k < 0) return values[0];
  return values[k] + (place - k) * (values[k + 1] - values[k]);
}

// What stands out: [time, words, whether it is bad]; of several runs each says whose it is.
function momentsOf({ marks, runs }) {
  const whose = (run) => (runs.length > 1 ? `${run.label}: ` : "");
  const told = runs.flatMap((run) => run.moments.map(([t, words, bad]) => [t, whose(run) + words, bad]));
  return [...marks, ...told.sort((one, other) => one[0] - other[0])];
}

function poseAt(run, t) {
  return ["x", "y", "heading"].map((name) => trackAt(run, name, t));
}

function dutyAt(run, side, t) {
  const phases = run.duty[side];
  const k = phases ? lastBefore(phases.t, t) : -1;
  return k < 0 ? { duty: 0, mode: "" } : { duty: phases.v[k] / 1000, mode: MODES[phases.m[k]] };
}

function eyesAt(run, t) {
  return run.eyes.map((eye) => {
    const k = lastBefore(eye.t, t);
    return k < 0 ? null : eye.v[k];
  });
}

function lineAt(run, t) {
  const k = lastBefore(run.lines.t, t);
  if (k < 0 || t > run.ended) return null;
  return { file: Object.keys(run.files)[run.lines.f[k]], line: run.lines.l[k] };
}

function commandWords(run, k) {
  const { kinds, k: kind, v } = run.commands;
  return k < 0 ? "" : kinds[kind[k]].replace("#", String(v[k]));
}

const DARK = [0, 0, 0];

function lampsAt(run, t) {
  const k = lastBefore(run.lamps.t, t);
  const numbers = k < 0 ? [] : run.lamps.c[k];
  return [0, 1, 2, 3, 4].map((lamp) => run.lamps.colours[numbers[lamp]] || DARK);
}

// What the lamps show while the replay runs: a lamp that would flash more often on this screen than
// may be, at this speed, is shown as the mean of a second.
function calmLampsAt(run, t, speed) {
  const half = speed / 2;
  const first = Math.max(0, lastBefore(run.lamps.t, t - half));
  const last = lastBefore(run.lamps.t, t + half);
  const shown = lampsAt(run, t);
  if (last - first < 2 * FLASHES) return { shown, calmed: false };
  let calmed = false;
  const colours = shown.map((colour, lamp) => {
    const seen = [];
    for (let k = first; k <= last; k++) seen.push(run.lamps.colours[run.lamps.c[k][lamp]] || DARK);
    if (turns(seen.map((rgb) => Math.max(...rgb) / 255)) <= 2 * FLASHES) return colour;
    calmed = true;
    return DARK.map((_, c) => seen.reduce((sum, rgb) => sum + rgb[c], 0) / seen.length);
  });
  return { shown: colours, calmed };
}

// How often values turn from rising to falling or back, by a tenth or more.
function turns(values) {
  let count = 0;
  let way = 0;
  let edge = values[0];
  for (const value of values) {
    if (Math.abs(value - edge) >= 0.1 && Math.sign(value - edge) !== way) {
      count += 1;
      way = Math.sign(value - edge);
      edge = value;
    } else if ((value - edge) * way > 0) edge = value;
  }
  return count;
}

// Keeps what is drawn from flashing when someone drags the time to and fro.
class Guard {
  constructor() {
    this.held = null;
    this.changes = [];
  }

  pass(colours, now) {
    const before = this.held;
    if (!before) return (this.held = colours);
    const changed = colours.some((rgb, k) =>
      rgb.some((value, c) => Math.abs(value - before[k][c]) >= 25));
    if (!changed) return (this.held = colours);
    this.changes = this.changes.filter((time) => now - time < 1000);
    if (this.changes.length >= 2 * FLASHES) return before;
    this.changes.push(now);
    return (this.held = colours);
  }
}

// A lamp's colour on a screen, whose light is not in proportion to its number: sRGB, IEC 61966-2-1.
function lampCss(rgb, night) {
  if (!rgb.some((value) => value >= 0.5)) return night;
  const coded = rgb.map((value) => {
    const c = value / 255;
    return Math.round(255 * (c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055));
  });
  return `rgb(${coded.join(" ")})`;
}
