// The table from above, and the tug: drawn in metres, x to the right and y up.

function makePlan(data) {
  const { w, h } = data.table;
  const margin = 0.03 * Math.max(w, h);
  const box = { left: -margin, low: -margin, wide: w + 2 * margin, high: h + 2 * margin };
  for (const run of data.runs) {
    // a table that is not known, or a tug that left it, makes the plan larger
    const reach = data.geometry.hull + 0.02;
    const xs = run.tracks.x, ys = run.tracks.y;
    for (let k = 0; k < xs.length; k += 5) {
      const right = box.left + box.wide, top = box.low + box.high;
      box.left = Math.min(box.left, xs[k] - reach);
      box.low = Math.min(box.low, ys[k] - reach);
      box.wide = Math.max(right, xs[k] + reach) - box.left;
      box.high = Math.max(top, ys[k] + reach) - box.low;
    }
  }
  return box;
}

// Give a canvas its size in the page's pixels, sharp on every screen, and its context.
function sized(canvas, wide, high) {
  const sharp = window.devicePixelRatio || 1;
  canvas.width = Math.round(wide * sharp);
  canvas.height = Math.round(high * sharp);
  canvas.style.width = `${wide}px`;
  canvas.style.height = `${high}px`;
  const context = canvas.getContext("2d");
  context.setTransform(sharp, 0, 0, sharp, 0, 0);
  return context;
}

// Let a context count in metres; gives how many of the canvas's own pixels a metre has.
function inMetres(context, box, canvas) {
  const scale = Math.min(canvas.width / box.wide, canvas.height / box.high);
  const left = (canvas.width - scale * box.wide) / 2 - scale * box.left;
  const low = (canvas.height + scale * box.high) / 2 + scale * box.low;
  context.setTransform(scale, 0, 0, -scale, left, low);
  return scale;
}

function trace(context, points) {
  context.beginPath();
  points.forEach(([x, y], k) => (k ? context.lineTo(x, y) : context.moveTo(x, y)));
}

function disc(context, x, y, radius, fill, stroke, wide) {
  context.beginPath();
  context.arc(x, y, radius, 0, 2 * Math.PI);
  if (fill) {
    context.fillStyle = fill;
    context.fill();
  }
  if (stroke) {
    context.strokeStyle = stroke;
    context.lineWidth = wide;
    context.stroke();
  }
}

function drawTable(context, data, inks, pixel) {
  const { w, h, walls, prints, dock } = data.table;
  context.fillStyle = inks.floor;
  context.fillRect(0, 0, w, h);
  context.lineJoin = "round";
  for (const print of prints) {
    context.strokeStyle = print.colour;
    context.lineWidth = print.w;
    trace(context, print.p);
    context.stroke();
  }
  if (dock) drawDock(context, dock, inks, pixel);
  context.setLineDash(walls ? [] : [4 * pixel, 3 * pixel]);
  context.strokeStyle = inks.wall;
  const thick = walls ? 0.014 * Math.max(w, h) : pixel;
  context.lineWidth = thick;
  context.lineJoin = "miter";
  const out = walls ? thick / 2 : 0;
  context.strokeRect(-out, -out, w + 2 * out, h + 2 * out);
  for (const target of data.targets) {
    context.setLineDash([6 * pixel, 4 * pixel]);
    context.strokeStyle = inks.target;
    context.lineWidth = 1.5 * pixel;
    trace(context, target.p);
    context.stroke();
    if (target.p.length === 1) disc(context, ...target.p[0], target.band || 0.01, null, inks.target, pixel);
  }
  context.setLineDash([]);
}

function drawDock(context, dock, inks, pixel) {
  const half = dock.width / 2;
  context.save();
  context.translate(dock.x, dock.y);
  context.rotate(dock.heading);
  context.fillStyle = inks.water;
  context.fillRect(0, -half, dock.depth, 2 * half);
  context.strokeStyle = inks.wall;
  context.lineWidth = 3 * pixel;
  trace(context, [[0, -half], [dock.depth, -half], [dock.depth, half], [0, half]]);
  context.stroke();
  context.setLineDash([3 * pixel, 3 * pixel]);
  context.lineWidth = pixel;
  trace(context, [[0, -half], [0, half]]);
  context.stroke();
  context.restore();
}

// The way a thing has gone until now; points nearer than half a pixel are left out.
function drawPath(context, xs, ys, until, dashes, ink, paper, pixel) {
  const points = [];
  for (let k = 0; k <= until; k++) {
    const before = points[points.length - 1];
    if (!before || k === until || Math.hypot(xs[k] - before[0], ys[k] - before[1]) > pixel / 2) {
      points.push([xs[k], ys[k]]);
    }
  }
  trace(context, points);
  context.lineJoin = "round";
  if (paper) {
    context.strokeStyle = paper;
    context.lineWidth = 3.8 * pixel;
    context.stroke();
  }
  context.setLineDash(dashes.map((dash) => dash * pixel));
  context.strokeStyle = ink;
  context.lineWidth = 2.2 * pixel;
  context.stroke();
  context.setLineDash([]);
}

function drawTug(context, data, look) {
  const { geometry: g, inks, pixel, pose } = { geometry: data.geometry, ...look };
  context.save();
  context.translate(pose[0], pose[1]);
  context.rotate(pose[2]);
  if (look.arm !== undefined) {
    context.strokeStyle = inks.outline;
    context.lineWidth = Math.max(0.006, 2 * pixel);
    context.lineCap = "round";
    trace(context, [[g.pivot, 0],
      [g.pivot + g.paddle * Math.cos(look.arm), g.paddle * Math.sin(look.arm)]]);
    context.stroke();
    context.lineCap = "butt";
  }
  context.setLineDash(look.dashes.map((dash) => dash * pixel));
  disc(context, 0, 0, g.hull, inks.deck, look.ink, 2 * pixel);
  context.setLineDash([]);
  drawWheels(context, g, look);
  context.fillStyle = inks.outline;
  trace(context, [[0.97 * g.hull, 0], [0.66 * g.hull, 0.013], [0.66 * g.hull, -0.013]]);
  context.fill();
  if (1 / pixel > 150) {
    drawEyes(context, g, look);
    drawLamps(context, g, look);
  }
  context.restore();
}

// Tyres with treads that go round as the wheel does, as far as a screen can show it.
function drawWheels(context, g, look) {
  const pitch = 0.011;
  for (const [side, way] of [[1, look.ways[0]], [-1, look.ways[1]]]) {
    const low = side * g.track / 2 - g.tyre / 2;
    context.fillStyle = look.inks.outline;
    context.fillRect(-g.wheel / 2, low, g.wheel, g.tyre);
    if (look.blurred || look.pixel > 0.002) continue;
    context.save();
    context.beginPath();
    context.rect(-g.wheel / 2, low, g.wheel, g.tyre);
    context.clip();
    context.fillStyle = look.inks.tread;
    const off = ((way % pitch) + pitch) % pitch;
    for (let x = -g.wheel / 2 - pitch + off; x < g.wheel / 2; x += pitch) {
      context.fillRect(x, low, 0.0025, g.tyre);
    }
    context.restore();
  }
}

function drawEyes(context, g, look) {
  look.eyes.forEach((count, k) => {
    const grey = count === null ? null : Math.round(255 * (1 - Math.min(count, 4095) / 4095));
    const fill = grey === null ? look.inks.deck : `rgb(${grey} ${grey} ${grey})`;
    disc(context, g.eyes[k][0], g.eyes[k][1], 0.0042, fill, look.inks.eye, 1.2 * look.pixel);
  });
}

function drawLamps(context, g, look) {
  look.lamps.forEach((rgb, k) => {
    const [x, y] = g.lamps[k];
    const css = lampCss(rgb, look.inks.night);
    if (css !== look.inks.night) {
      context.globalAlpha = 0.15 + 0.35 * (Math.max(...rgb) / 255);
      disc(context, x, y, 0.014, css);
      context.globalAlpha = 1;
    }
    disc(context, x, y, 0.0064, css, look.inks.outline, look.pixel);
  });
}
