// A section through shell and cast, and its drawing at the true shape.
"use strict";

/** The plane of a kind of section at a share 0..1 of the shell: its normal points to what is taken away. */
function planeOf(kind, share, view) {
  const axis = { frontal: 0, sagittal: 1, level: 2 }[kind];
  const [low, high] = [view.box.low[axis], view.box.high[axis]];
  const at = low + (high - low) * share;
  // towards the eye: toes in front of a frontal one, medial of a sagittal one, above a level one
  const way = axis === 1 && view.left ? -1 : 1;
  const normal = [0, 0, 0];
  normal[axis] = way;
  return { kind, axis, at, normal, off: way * at };
}

/** "84 mm forward of the heel centre" */
function placeOf(plane, left) {
  const mm = (v) => Math.abs(v).toFixed(0) + " mm ";
  if (plane.axis === 0) return mm(plane.at) + (plane.at < 0 ? "behind" : "forward of") + " the heel centre";
  const medial = left ? -plane.at : plane.at;
  if (plane.axis === 1) return mm(medial) + (medial < 0 ? "lateral" : "medial") + " of the axis";
  return mm(plane.at) + (plane.at < 0 ? "below" : "above") + " the cast plane";
}

/** Lines in which a body meets the plane: lists of places. Of a closed body every line is closed. */
function linesIn(body, plane) {
  const { places, corners } = body;
  const axis = plane.axis;
  const at = plane.at + 1e-5;  // never through a point
  const n = places.length / 3;
  const next = new Map();
  const cross = (p, q) => {
    const [a, b] = [places[3 * p + axis] - at, places[3 * q + axis] - at];
    const s = a / (a - b);
    return [0, 1, 2].map((k) => places[3 * p + k] + s * (places[3 * q + k] - places[3 * p + k]));
  };
  const points = new Map();
  for (let t = 0; t < corners.length; t += 3) {
    let from = -1;
    let to = -1;
    for (let k = 0; k < 3; ++k) {
      const [p, q] = [corners[t + k], corners[t + (k + 1) % 3]];
      const [a, b] = [places[3 * p + axis] > at, places[3 * q + axis] > at];
      if (a === b) continue;
      const edge = Math.min(p, q) * n + Math.max(p, q);
      if (!points.has(edge)) points.set(edge, cross(Math.min(p, q), Math.max(p, q)));
      if (a) from = edge; else to = edge;
    }
    if (from >= 0 && to >= 0) next.set(from, to);
  }
  const lines = [];
  const heads = new Set(next.keys());
  for (const to of next.values()) heads.delete(to);
  const follow = (start) => {
    const line = [points.get(start)];
    for (let edge = start; next.has(edge);) {
      const to = next.get(edge);
      next.delete(edge);
      line.push(points.get(to));
      edge = to;
    }
    lines.push(line);
  };
  for (const head of heads) follow(head);
  for (const start of [...next.keys()]) if (next.has(start)) follow(start);
  return lines;
}

/** Draws the section to scale, the ground's way down; of a level one the toes are to the right. */
function drawSection(canvas, view, plane) {
  const ratio = Math.min(window.devicePixelRatio || 1, 3);
  const [w, h] = [canvas.clientWidth, canvas.clientHeight];
  if (!w || !h) return;
  canvas.width = Math.round(w * ratio);
  canvas.height = Math.round(h * ratio);
  const ink = canvas.getContext("2d");
  ink.scale(ratio, ratio);
  // a frontal section is seen from the heel, a sagittal and a level one with the toes to the right
  const across = plane.axis === 0 ? 1 : 0;
  const upward = plane.axis === 2 ? 1 : 2;
  const way = plane.axis === 0 ? -1 : 1;
  const shell = linesIn(view.shell, plane);
  const parts = view.parts.flatMap((part) => linesIn(part, plane));
  const cast = linesIn(view.cast, plane);
  const reach = { low: 1e9, high: -1e9, bottom: 1e9, top: -1e9 };
  for (const p of [...shell, ...parts].flat()) {
    reach.low = Math.min(reach.low, way * p[across]);
    reach.high = Math.max(reach.high, way * p[across]);
    reach.bottom = Math.min(reach.bottom, p[upward]);
    reach.top = Math.max(reach.top, p[upward]);
  }
  ink.font = "12px system-ui, sans-serif";
  ink.fillStyle = "#4c565e";
  if (reach.high < reach.low) {
    ink.fillText("The section meets no shell here.", 10, h / 2);
    return;
  }
  const [tall, broad] = [reach.top - reach.bottom + 14, reach.high - reach.low + 16];
  const px = Math.min((w - 20) / broad, (h - 44) / tall);
  const x = (v) => w / 2 + px * (way * v - (reach.low + reach.high) / 2);
  const y = (v) => 20 + (h - 44) / 2 - px * (v - (reach.top + reach.bottom) / 2);
  const run = (line) => line.forEach((p, k) => (k ? ink.lineTo(x(p[across]), y(p[upward])) : ink.moveTo(x(p[across]), y(p[upward]))));
  const area = (lines, fill, stroke) => {
    ink.beginPath();
    for (const line of lines) { run(line); ink.closePath(); }
    ink.fillStyle = fill;
    ink.fill("evenodd");
    ink.strokeStyle = stroke;
    ink.lineWidth = 1.2;
    ink.stroke();
  };
  ink.save();
  ink.beginPath();
  ink.rect(0, 18, w, h - 42);
  ink.clip();
  if (view.castShown !== "none") {
    ink.beginPath();
    cast.forEach(run);
    ink.strokeStyle = "#8a6a3c";
    ink.lineWidth = 1.6;
    ink.stroke();
  }
  area(shell, "#8fb2cc", "#1c5582");
  area(parts, "#d9c19a", "#8a6a3c");
  ink.restore();
  // words at either end, and a bar
  ink.fillStyle = "#4c565e";
  const rightIsMedial = view.left;  // seen from the heel, a left foot's medial side is on the right
  const words = plane.axis === 0 ? (rightIsMedial ? ["lateral", "medial"] : ["medial", "lateral"]) : ["heel", "toes"];
  ink.textBaseline = "top";
  ink.fillText(words[0], 8, 5);
  ink.fillText(words[1], w - 8 - ink.measureText(words[1]).width, 5);
  const bar = 50 * px < w - 90 ? 50 : 10;
  ink.fillStyle = "#1b2228";
  ink.fillRect(10, h - 9, bar * px, 2);
  ink.fillRect(10, h - 13, 1, 8);
  ink.fillRect(9 + bar * px, h - 13, 1, 8);
  ink.textBaseline = "alphabetic";
  ink.fillText(bar + " mm", 16 + bar * px, h - 5);
}
