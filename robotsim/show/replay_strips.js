// The strips: what each part did over time, one below the other on one axis of time.

const SIDE = 92; // pixels at the right, for the numbers at the cursor
const DASHES = [[], [6, 4], [9, 2, 2, 2], [2, 2], [11, 3, 2, 3, 2, 3], [3, 2]];
const DASH_NAMES = ["solid", "dashed", "dash, dot", "dotted", "dash, dot, dot", "short dashes"];
const PORT_STARBOARD = ["left", "right"];
const LAMP_NAMES = ["port bow", "starboard bow", "mast", "stern", "deck"];

function makeStrips(data) {
  const strips = [];
  const { runs } = data;
  const many = runs.length > 1;
  const some = (test) => runs.some(test);
  const add = (name, least, draw, read, sides = false) =>
    strips.push({ name, least, draw, read, sides });
  if (some((run) => run.printed.t.length)) {
    add("printed lines", 14 * runs.length, ticks("printed"), countUntil("printed"));
  }
  if (some((run) => run.radio.t.length)) {
    add("radio messages", 14 * runs.length, ticks("radio"), countUntil("radio"));
  }
  if (some((run) => run.lamps.t.length)) {
    add("lamps, port bow first", (runs.length > 2 ? 18 : 40) * runs.length, drawLampRows, () => []);
  }
  for (const side of PORT_STARBOARD) {
    if (!some((run) => run.duty[side])) continue;
    const back = some((run) => lasting(run, side).some((v) => v < 0));
    const ahead = some((run) => lasting(run, side).some((v) => v > 0)) || !back;
    const range = [back ? -1 : 0, ahead ? 1 : 0];
    add(`${side} motor, duty in %`, back && ahead ? 46 : 34, drawDuty(side, range), (run, t) => {
      const { duty, mode } = dutyAt(run, side, t);
      return [`${signed(100 * duty, 0)} %`, ...(mode && !many ? [mode] : [])];
    });
  }
  addTracks(add, data, many);
  if (some((run) => run.lines.t.length)) add("line of the program", 44, drawLines, readLine);
  return strips;
}

// The duties that stay for 2 ms or more: what is over at once, while one input is set after the
// other, moves nothing.
function lasting(run, side) {
  const { t, v } = run.duty[side] || { t: [], v: [] };
  return v.filter((_, k) => (k + 1 < t.length ? t[k + 1] : run.seconds) - t[k] >= 0.002);
}

function addTracks(add, data, many) {
  const { runs } = data;
  const some = (test) => runs.some(test);
  const top = Math.max(...runs.map((run) => run.speed));
  if (some((run) => [...run.tracks.left, ...run.tracks.right].some((v) => Math.abs(v) > 0.002))) {
    const back = some((run) => [...run.tracks.left, ...run.tracks.right].some((v) => v < -0.02 * top));
    const range = [back ? -top : 0, top];
    const speed = (run, k) => (run.tracks.left[k] + run.tracks.right[k]) / 2;
    const curves = many ? [speed]
      : PORT_STARBOARD.map((side) => (run, k) => run.tracks[side][k]);
    add(many ? "speed in m/s" : "speed of left and right wheel in m/s", 56,
      drawTracks(range, curves), (run, t) => (many
        ? [signed((trackAt(run, "left", t) + trackAt(run, "right", t)) / 2, 2)]
        : PORT_STARBOARD.map((side) => signed(trackAt(run, side, t), 2))), !many);
  }
  const arms = runs.flatMap((run) => Array.from(run.tracks.arm || []));
  if (arms.length && Math.max(...arms.map(Math.abs)) > 0.01) {
    add("arm in degrees, to port is up", 40,
      drawTracks([-60, 60], [(run, k) => run.tracks.arm && run.tracks.arm[k] * 180 / Math.PI]),
      (run, t) => [`${signed((trackAt(run, "arm", t) || 0) * 180 / Math.PI, 0)}°`]);
  }
  if (some((run) => run.eyes.some((eye) => eye.t.length))) {
    add("line eyes in counts, eye 0 to port", 60, drawEyeCounts,
      (run, t) => eyesAt(run, t).map((count, k) => (count === null ? "" : many ? `${count}` : `eye ${k}: ${count}`)));
  }
}

function signed(value, places) {
  const text = Math.abs(value).toFixed(places);
  return value < 0 && Number(text) !== 0 ? `\u2212${text}` : text;
}

const ticks = (part) => (context, run, place) => {
  context.fillStyle = place.inks.runs[place.number];
  const { top, high } = place.row();
  for (const t of run[part].t) context.fillRect(place.x(t) - 1, top + 2, 2, high - 4);
};

const countUntil = (part) => (run, t) => [`${lastBefore(run[part].t, t) + 1} of ${run[part].t.length}`];

function drawLampRows(context, run, place) {
  const { top, high } = place.row();
  const each = (high - 4) / 5;
  const { t, c, colours } = run.lamps;
  t.forEach((begin, k) => {
    const left = place.x(begin);
    const right = place.x(k + 1 < t.length ? t[k + 1] : run.seconds);
    for (let lamp = 0; lamp < 5; lamp++) {
      context.fillStyle = lampCss(colours[c[k][lamp]] || DARK, place.inks.night);
      context.fillRect(left, top + each * lamp, Math.max(right - left, 0.5), each - 1);
    }
  });
}

const drawDuty = (side, range) => (context, run, place) => {
  const phases = run.duty[side];
  if (!phases) return;
  const y = place.y(range);
  place.scale(context, range, ["\u2212100", "100"]);
  // one run: a colour for each wheel, as in its speed and in the pictures; two: one for each run
  const style = place.of > 1 ? place.number : PORT_STARBOARD.indexOf(side);
  const ink = place.inks.runs[style];
  context.beginPath();
  context.moveTo(place.x(phases.t[0]), y(0));
  phases.t.forEach((begin, k) => {
    const end = k + 1 < phases.t.length ? phases.t[k + 1] : run.seconds;
    const value = phases.v[k] / 1000;
    context.lineTo(place.x(begin), y(value));
    context.lineTo(place.x(end), y(value));
    if (place.number === 0 && MODES[phases.m[k]] === "brake") {
      context.fillStyle = place.inks.quiet;
      context.fillRect(place.x(begin), y(0) - 3, place.x(end) - place.x(begin), 3);
    }
  });
  place.stroke(context, ink, DASHES[style], 1.6);
  context.lineTo(place.x(run.seconds), y(0));
  context.globalAlpha = 0.18;
  context.fillStyle = ink;
  context.fill();
  context.globalAlpha = 1;
};

const drawTracks = (range, curves) => (context, run, place) => {
  const y = place.y(range);
  place.scale(context, range, range.map((value) => String(Number(value.toPrecision(2))).replace("-", "\u2212")));
  curves.forEach((curve, number) => {
    context.beginPath();
    for (let k = 0; k * run.step <= run.seconds + 1e-9; k++) {
      const value = curve(run, k);
      if (value !== undefined) context.lineTo(place.x(k * run.step), y(value));
    }
    const style = curves.length > 1 ? number : place.number;
    place.stroke(context, place.inks.runs[style], DASHES[style], 1.4);
  });
};

function drawEyeCounts(context, run, place) {
  const range = [0, 4095];
  const y = place.y(range);
  place.scale(context, range, ["0", "4095"]);
  run.eyes.forEach((eye, k) => {
    if (!eye.t.length) return;
    context.beginPath();
    eye.t.forEach((t, n) => context.lineTo(place.x(t), y(eye.v[n])));
    const many = place.of > 1;
    place.stroke(context, many ? place.inks.runs[place.number] : place.inks.eyes[k],
      many ? DASHES[place.number] : EYE_DASHES[k], 1.2);
  });
}

const EYE_DASHES = [[], [5, 2], [7, 2, 1, 2], [1.5, 1.5]];

function drawLines(context, run, place) {
  const first = Math.min(...run.lines.l), last = Math.max(...run.lines.l, first + 1);
  const y = place.y([last, first]);
  place.scale(context, [last, first], [`line ${first} above`, `${last} below`]);
  context.fillStyle = place.inks.runs[place.number];
  const { t, l } = run.lines;
  t.forEach((begin, k) => {
    const end = Math.min(k + 1 < t.length ? t[k + 1] : run.ended, run.ended);
    context.fillRect(place.x(begin), y(l[k]) - 1, Math.max(place.x(end) - place.x(begin), 1), 2);
  });
}

function readLine(run, t) {
  const here = lineAt(run, t);
  return [here ? `line ${here.line}` : ""];
}

// Where a strip stands on the canvas and how its values become pixels.
class Place {
  constructor(strip, top, wide, span, inks) {
    Object.assign(this, { strip, top, wide, span, inks, number: 0, of: 1 });
  }

  x(t) {
    const [begin, end] = this.span;
    return 1 + ((t - begin) / (end - begin)) * (this.wide - SIDE - 2);
  }

  y([low, high]) {
    const { top, strip } = this;
    return (value) => top + strip.high - 2 - ((value - low) / (high - low)) * (strip.high - 4);
  }

  row() {
    const high = this.strip.high / this.of;
    return { top: this.top + high * this.number, high };
  }

  stroke(context, ink, dashes, wide) {
    context.setLineDash(dashes);
    context.strokeStyle = ink;
    context.lineWidth = wide;
    context.stroke();
    context.setLineDash([]);
  }

  // Lines at the ends of the scale and at zero; the numbers stand at the right of the name.
  scale(context, [low, high], names) {
    if (this.number) return;
    const y = this.y([low, high]);
    context.fillStyle = this.inks.rule;
    for (const value of [low, high, 0]) {
      if (value >= Math.min(low, high) && value <= Math.max(low, high)) {
        context.fillRect(1, Math.round(y(value)), this.wide - SIDE - 2, 1);
      }
    }
    this.names = `${low === 0 ? 0 : names[0]} to ${high === 0 ? 0 : names[1]}`;
  }
}

const NAME = 16; // pixels above each strip, for its name
const FONT = "12px system-ui, sans-serif";

// Strips take the height that there is, but each at most twice what it needs.
function layStrips(strips, wide, room, span, inks) {
  const needed = strips.reduce((sum, strip) => sum + strip.least, 0);
  const more = Math.min(Math.max((room - 42 - strips.length * (NAME + 6)) / needed, 1), 2);
  let top = 22;
  const places = strips.map((strip) => {
    strip.high = Math.round(strip.least * more);
    const place = new Place(strip, top + NAME, wide, span, inks);
    top += NAME + strip.high + 6;
    return place;
  });
  return { places, high: top + 20, span };
}

function drawStrips(context, data, { places, high, span }, wide, inks) {
  context.fillStyle = inks.paper;
  context.fillRect(0, 0, wide, high);
  context.font = FONT;
  context.textBaseline = "alphabetic";
  for (const place of places) {
    context.fillStyle = inks.ground;
    context.fillRect(1, place.top, wide - SIDE - 2, place.strip.high);
    data.runs.forEach((run, number) => {
      place.number = number;
      place.of = data.runs.length;
      context.save();
      context.beginPath();
      context.rect(0, place.top - 1, wide - SIDE + 1, place.strip.high + 2);
      context.clip();
      place.strip.draw(context, run, place);
      context.restore();
    });
    context.fillStyle = inks.ink;
    const name = place.names ? `${place.strip.name} (${place.names})` : place.strip.name;
    context.fillText(name, 1, place.top - 4, wide - 4);
  }
  drawTimes(context, data, { high, span }, wide, inks);
}

function drawTimes(context, data, { high, span }, wide, inks) {
  const place = new Place({ high: 0 }, 0, wide, span, inks);
  const [begin, end] = span;
  const steps = [0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100];
  const step = steps.find((s) => (s / (end - begin)) * (wide - SIDE) >= 52) || 200;
  context.fillStyle = inks.quiet;
  for (let k = Math.ceil(begin / step - 1e-6); k * step <= end + 1e-9; k++) {
    const text = `${Number((k * step).toFixed(3))} s`;
    const x = place.x(k * step) - context.measureText(text).width / 2;
    context.fillText(text, Math.max(x, 1), high - 6);
    context.fillRect(place.x(k * step), high - 22, 1, 4);
  }
  for (const [t, , bad] of momentsOf(data)) {
    if (t < begin || t > end) continue;
    const x = place.x(t);
    context.fillStyle = bad ? inks.bad : inks.ink;
    trace(context, [[x - 4, 8], [x + 4, 8], [x, 16]]);
    context.fill();
    context.globalAlpha = 0.35;
    context.fillRect(x - 0.5, 16, 1, high - 38);
    context.globalAlpha = 1;
  }
}

// The cursor, which leaves the names of the strips free, and beside each what it reads there.
function drawCursor(context, data, { places, high, span }, t, wide, inks) {
  const place = new Place({ high: 0 }, 0, wide, span, inks);
  context.fillStyle = inks.cursor;
  for (const { top, strip } of places) context.fillRect(place.x(t) - 1, top - 2, 2, strip.high + 4);
  context.fillRect(place.x(t) - 1, high - 24, 2, 4);
  context.font = FONT;
  context.textBaseline = "middle";
  for (const { top, strip } of places) {
    const all = data.runs.flatMap((run, number) =>
      strip.read(run, Math.min(t, run.seconds)).map((text, k) =>
        ({ text, ink: strip.sides ? k : number })));
    const rows = data.runs.length > 2 && 11 * all.length > strip.high ? [] : all; // no room for them
    const each = Math.min(15, strip.high / rows.length);
    rows.forEach(({ text, ink }, k) => {
      context.fillStyle = data.runs.length > 1 || strip.sides ? inks.texts[ink] : inks.ink;
      const y = top + strip.high / 2 + (k - (rows.length - 1) / 2) * each;
      context.fillText(text, wide - SIDE + 6, y, SIDE - 8);
    });
  }
  context.textBaseline = "alphabetic";
}
