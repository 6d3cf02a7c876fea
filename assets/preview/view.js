// The shell and its cast in space: small code of our own on WebGL, no library. Places are those of the part as
// it is made, mm; the eye looks along parallels, so that what is equally long looks so.
"use strict";

function toBytes(text) {
  const raw = atob(text);
  const bytes = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; ++i) bytes[i] = raw.charCodeAt(i);
  return bytes;
}
const toShorts = (text) => new Int16Array(toBytes(text).buffer);

/** A body of the page's data as numbers. */
function unpack(body) {
  const whole = new Uint16Array(toBytes(body.places).buffer);
  const places = new Float32Array(whole.length);
  for (let i = 0; i < whole.length; i += 3)
    for (let k = 0; k < 3; ++k) places[i + k] = body.low_mm[k] + body.step_mm * whole[i + k];
  const corners = toBytes(body.corners).buffer;
  return {
    places,
    facings: new Int8Array(toBytes(body.facings).buffer),
    corners: body.corner_bytes === 2 ? new Uint16Array(corners) : new Uint32Array(corners),
    ends: body.ends,
    wall: body.wall ? toShorts(body.wall) : null,
    distance: body.distance ? toShorts(body.distance) : null,
  };
}

const noFigure = -32768;
const perMm = 100;
/** The cast is drawn so many mm nearer to the eye: where it touches the shell one of them has to win. */
const castNearer = 0.6;

const corner = `
attribute vec3 place; attribute vec3 facing; attribute vec3 paint;
uniform mat3 turn; uniform vec3 middle; uniform vec2 scale; uniform vec2 shift; uniform float depth, nearer;
varying vec3 at; varying vec3 towards; varying vec3 colour;
void main() {
  vec3 seen = turn * (place - middle);
  at = place; towards = turn * facing; colour = paint;
  gl_Position = vec4(seen.xy * scale + shift, -(seen.z + nearer) * depth, 1.0);
}`;

const spot = `
precision mediump float;
uniform vec4 cut; uniform bool cutting, painted; uniform vec3 plain, inside; uniform float clear;
varying highp vec3 at; varying vec3 towards; varying vec3 colour;
void main() {
  if (cutting && dot(cut.xyz, at) > cut.w) discard;
  if (!gl_FrontFacing) { gl_FragColor = vec4(inside * clear, clear); return; }
  vec3 n = normalize(towards);
  float light = 0.42 + 0.5 * max(0.0, dot(n, vec3(-0.3, 0.45, 0.84))) + 0.14 * max(0.0, n.z);
  gl_FragColor = vec4((painted ? colour : plain) * light * clear, clear);
}`;

const inks = {
  shell: [0.42, 0.61, 0.74],
  shellInside: [0.11, 0.33, 0.51],
  cast: [0.87, 0.84, 0.78],
  castInside: [0.72, 0.67, 0.58],
  part: [0.77, 0.64, 0.45],
  board: [0.984, 0.984, 0.976],
};

/** Turntable: `round` about the upright, `over` from level to from above, radians. */
const looks = {
  above: [-Math.PI / 2, Math.PI / 2],
  below: [-Math.PI / 2, -Math.PI / 2],
  inner: [Math.PI / 2, 0.12],
  outer: [-Math.PI / 2, 0.12],
  heel: [Math.PI, 0.2],
  first: [0, 0],
};

class View {
  constructor(canvas, data) {
    this.canvas = canvas;
    this.left = data.side === "left";
    this.shell = unpack(data.shell);
    this.cast = unpack(data.cast);
    this.parts = data.parts.map(unpack);
    this.scales = data.scales;
    for (const scale of Object.values(this.scales)) scale.bytes = toBytes(scale.colours);
    this.box = this.boxOf(this.shell.places);
    const castBox = this.boxOf(this.cast.places);
    this.wholeBox = {  // shell and cast, as seen; of the cast's height no more than the shell's and a half
      low: this.box.low.map((v, k) => Math.min(v, castBox.low[k])),
      high: this.box.high.map((v, k) => (k === 2 ? v : Math.max(v, castBox.high[k]))),
    };
    this.castShown = "glass";
    this.paint = "plain";
    this.cut = null;  // {normal, off}: what lies past it is taken away
    this.pins = [];   // places asked about
    this.changed = () => {};
    const gl = canvas.getContext("webgl", { antialias: true, preserveDrawingBuffer: true });
    if (!gl) throw new Error("This browser shows no picture in space (WebGL). The figures are as they stand.");
    this.gl = gl;
    this.prepare();
    this.look("first");
    new ResizeObserver(() => this.draw()).observe(canvas);
    canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    canvas.addEventListener("webglcontextrestored", () => { this.prepare(); this.draw(); });
    this.listen();
  }

  boxOf(places) {
    const box = { low: [1e9, 1e9, 1e9], high: [-1e9, -1e9, -1e9] };
    for (let i = 0; i < places.length; ++i) {
      box.low[i % 3] = Math.min(box.low[i % 3], places[i]);
      box.high[i % 3] = Math.max(box.high[i % 3], places[i]);
    }
    return box;
  }

  prepare() {
    const gl = this.gl;
    const program = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, corner], [gl.FRAGMENT_SHADER, spot]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(program));
    gl.useProgram(program);
    this.at = {};
    for (const name of ["place", "facing", "paint"]) {
      this.at[name] = gl.getAttribLocation(program, name);
      gl.enableVertexAttribArray(this.at[name]);
    }
    for (const name of ["turn", "middle", "scale", "shift", "depth", "nearer", "cut", "cutting", "painted", "plain", "inside", "clear"])
      this.at[name] = gl.getUniformLocation(program, name);
    gl.getExtension("OES_element_index_uint");
    gl.enable(gl.DEPTH_TEST);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    gl.clearColor(...inks.board, 1);
    for (const body of [this.shell, this.cast, ...this.parts]) {
      const put = (target, bytes) => {
        const buffer = gl.createBuffer();
        gl.bindBuffer(target, buffer);
        gl.bufferData(target, bytes, gl.STATIC_DRAW);
        return buffer;
      };
      body.onCard = {
        places: put(gl.ARRAY_BUFFER, body.places),
        facings: put(gl.ARRAY_BUFFER, body.facings),
        paints: put(gl.ARRAY_BUFFER, new Uint8Array(body.places.length)),
        corners: put(gl.ELEMENT_ARRAY_BUFFER, body.corners),
      };
    }
    this.setPaint(this.paint);
  }

  /** Colours of the shell's points for "wall" or "distance"; "plain" needs none. */
  setPaint(paint) {
    this.paint = paint;
    if (paint === "plain") return;
    const scale = this.scales[paint];
    const values = this.shell[paint];
    const colours = new Uint8Array(3 * values.length);
    for (let i = 0; i < values.length; ++i) {
      const share = values[i] === noFigure ? 0.5 : (values[i] / perMm - scale.low) / (scale.high - scale.low);
      const step = 3 * Math.round(255 * Math.min(1, Math.max(0, share)));
      for (let k = 0; k < 3; ++k) colours[3 * i + k] = scale.bytes[step + k];
    }
    this.gl.bindBuffer(this.gl.ARRAY_BUFFER, this.shell.onCard.paints);
    this.gl.bufferData(this.gl.ARRAY_BUFFER, colours, this.gl.STATIC_DRAW);
  }

  look(name) {
    // medial is +y of a right foot as it is made, -y of a left one
    const inner = this.left ? "outer" : "inner";
    const outer = this.left ? "inner" : "outer";
    const known = { medial: inner, lateral: outer }[name] || name;
    [this.round, this.over] = name === "first" ? [(this.left ? -1 : 1) * 1.2, 0.7] : looks[known];
    this.zoom = 1;
    this.shift = [0, 0];
    this.draw();
  }

  /** What has to fit, and the place that stands in the middle. */
  shown() {
    return this.castShown === "none" ? this.box : this.wholeBox;
  }
  middle() {
    const box = this.shown();
    return [0, 1, 2].map((k) => (box.low[k] + box.high[k]) / 2);
  }

  /** Rows: right, up and towards the eye, of the page, in mm of the part. */
  turn() {
    const [cr, sr, co, so] = [Math.cos(this.round), Math.sin(this.round), Math.cos(this.over), Math.sin(this.over)];
    const towards = [cr * co, sr * co, so];
    const right = [-sr, cr, 0];
    const up = [-cr * so, -sr * so, co];
    return [right, up, towards];
  }

  /** Pixels a mm. */
  pixels() {
    const box = this.shown();
    const [long, broad] = [box.high[0] - box.low[0], box.high[1] - box.low[1]];
    return 0.94 * this.zoom * Math.min(this.canvas.clientWidth / long, this.canvas.clientHeight / (1.45 * broad));
  }

  draw() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame(() => { this.waiting = 0; this.drawNow(); });
  }

  drawNow() {
    const gl = this.gl;
    const ratio = Math.min(window.devicePixelRatio || 1, 2);
    const [w, h] = [this.canvas.clientWidth, this.canvas.clientHeight];
    if (!w || !h) return;
    if (this.canvas.width !== Math.round(w * ratio) || this.canvas.height !== Math.round(h * ratio)) {
      this.canvas.width = Math.round(w * ratio);
      this.canvas.height = Math.round(h * ratio);
    }
    gl.viewport(0, 0, this.canvas.width, this.canvas.height);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    const [right, up, towards] = this.turn();
    const px = this.pixels();
    gl.uniformMatrix3fv(this.at.turn, false, [0, 1, 2].flatMap((k) => [right[k], up[k], towards[k]]));
    gl.uniform3fv(this.at.middle, this.middle());
    gl.uniform2f(this.at.scale, 2 * px / w, 2 * px / h);
    gl.uniform2f(this.at.shift, 2 * this.shift[0] / w, -2 * this.shift[1] / h);
    gl.uniform1f(this.at.depth, 1 / 500);
    gl.uniform1i(this.at.cutting, this.cut ? 1 : 0);
    if (this.cut) gl.uniform4f(this.at.cut, ...this.cut.normal, this.cut.off);
    gl.disable(gl.BLEND);
    this.drawBody(this.shell, inks.shell, inks.shellInside, 1, this.paint);
    for (const part of this.parts) this.drawBody(part, inks.part, inks.part, 1, "plain");
    if (this.castShown === "solid") this.drawBody(this.cast, inks.cast, inks.castInside, 1, "plain");
    if (this.castShown === "glass") {  // only the nearest of its surfaces, so that it is one veil
      gl.colorMask(false, false, false, false);
      this.drawBody(this.cast, inks.cast, inks.castInside, 1, "plain");
      gl.colorMask(true, true, true, true);
      gl.enable(gl.BLEND);
      gl.depthFunc(gl.EQUAL);
      this.drawBody(this.cast, inks.cast, inks.castInside, 0.34, "plain");
      gl.depthFunc(gl.LESS);
      gl.disable(gl.BLEND);
    }
    this.changed();
  }

  drawBody(body, plain, inside, clear, paint) {
    const gl = this.gl;
    const use = (name, buffer, type, normalised) => {
      gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
      gl.vertexAttribPointer(this.at[name], 3, type, normalised, 0, 0);
    };
    use("place", body.onCard.places, gl.FLOAT, false);
    use("facing", body.onCard.facings, gl.BYTE, true);
    use("paint", body.onCard.paints, gl.UNSIGNED_BYTE, true);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, body.onCard.corners);
    gl.uniform3fv(this.at.plain, plain);
    gl.uniform3fv(this.at.inside, inside);
    gl.uniform1f(this.at.clear, clear);
    gl.uniform1f(this.at.nearer, body === this.cast ? castNearer : 0);
    const wide = body.corners.BYTES_PER_ELEMENT;
    let from = 0;
    body.ends.forEach((end, group) => {
      // the wall is of both sides, the distance of the foot side alone; edges have neither
      const has = paint !== "plain" && (group === 0 || (group === 1 && paint === "wall"));
      gl.uniform1i(this.at.painted, has ? 1 : 0);
      gl.drawElements(gl.TRIANGLES, 3 * (end - from), wide === 2 ? gl.UNSIGNED_SHORT : gl.UNSIGNED_INT, 3 * wide * from);
      from = end;
    });
  }

  /** Where a place stands on the canvas, CSS pixels, and how near to the eye it is. */
  onPage(place) {
    const [right, up, towards] = this.turn();
    const middle = this.middle();
    const d = place.map((v, k) => v - middle[k]);
    const dot = (a) => a[0] * d[0] + a[1] * d[1] + a[2] * d[2];
    const px = this.pixels();
    return [this.canvas.clientWidth / 2 + this.shift[0] + px * dot(right),
      this.canvas.clientHeight / 2 + this.shift[1] - px * dot(up), dot(towards)];
  }

  /** The nearest place of the shell under a point of the canvas: {place, group, wall, distance}, or null. */
  pick(x, y) {
    const [right, up, towards] = this.turn();
    const px = this.pixels();
    const a = (x - this.canvas.clientWidth / 2 - this.shift[0]) / px;
    const b = -(y - this.canvas.clientHeight / 2 - this.shift[1]) / px;
    const { places, corners, ends } = this.shell;
    const n = places.length / 3;
    if (!this.flat || this.flat.length !== 3 * n) this.flat = new Float32Array(3 * n);
    const flat = this.flat;
    const [mx, my, mz] = this.middle();
    for (let i = 0; i < n; ++i) {
      const [dx, dy, dz] = [places[3 * i] - mx, places[3 * i + 1] - my, places[3 * i + 2] - mz];
      flat[3 * i] = right[0] * dx + right[1] * dy + right[2] * dz - a;
      flat[3 * i + 1] = up[0] * dx + up[1] * dy + up[2] * dz - b;
      flat[3 * i + 2] = towards[0] * dx + towards[1] * dy + towards[2] * dz;
    }
    let best = null;
    for (let t = 0; t < corners.length; t += 3) {
      const [p, q, r] = [3 * corners[t], 3 * corners[t + 1], 3 * corners[t + 2]];
      const u = flat[q] * flat[r + 1] - flat[r] * flat[q + 1];
      const v = flat[r] * flat[p + 1] - flat[p] * flat[r + 1];
      const w = flat[p] * flat[q + 1] - flat[q] * flat[p + 1];
      if (u < 0 || v < 0 || w < 0 || !(u + v + w > 0)) continue;  // beside it, or seen from within
      const s = [u / (u + v + w), v / (u + v + w), w / (u + v + w)];
      const near = s[0] * flat[p + 2] + s[1] * flat[q + 2] + s[2] * flat[r + 2];
      if (best && near <= best.near) continue;
      const place = [0, 1, 2].map((k) => s[0] * places[p + k] + s[1] * places[q + k] + s[2] * places[r + k]);
      if (this.cut && place.reduce((sum, c, k) => sum + c * this.cut.normal[k], 0) > this.cut.off) continue;
      best = { near, place, s, ids: [p / 3, q / 3, r / 3], group: ends.findIndex((end) => t / 3 < end) };
    }
    if (!best) return null;
    for (const key of ["wall", "distance"]) {
      const values = best.ids.map((i) => this.shell[key][i]);
      const has = best.group === 0 || (best.group === 1 && key === "wall");
      best[key] = has && !values.includes(noFigure)
        ? values.reduce((sum, v, k) => sum + v * best.s[k], 0) / perMm : null;
    }
    return best;
  }

  listen() {
    const canvas = this.canvas;
    const down = new Map();
    let gap = 0;
    const where = (event) => {
      const box = canvas.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    };
    const zoomAt = (factor, [x, y]) => {
      const zoom = Math.min(20, Math.max(0.5, this.zoom * factor));
      const by = zoom / this.zoom;
      const [cx, cy] = [x - canvas.clientWidth / 2, y - canvas.clientHeight / 2];
      this.shift = [cx - (cx - this.shift[0]) * by, cy - (cy - this.shift[1]) * by];
      this.zoom = zoom;
      this.draw();
    };
    const turnBy = (dx, dy) => {
      this.round -= dx;
      this.over = Math.min(Math.PI / 2, Math.max(-Math.PI / 2, this.over + dy));
      this.draw();
    };
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      down.set(event.pointerId, where(event));
      this.moved = down.size > 1;
      gap = 0;
    });
    canvas.addEventListener("pointermove", (event) => {
      const now = where(event);
      const was = down.get(event.pointerId);
      if (!was) {
        if (this.hover) this.hover(now);
        return;
      }
      const [dx, dy] = [now[0] - was[0], now[1] - was[1]];
      if (!this.moved && Math.hypot(dx, dy) < 4) return;
      this.moved = true;
      down.set(event.pointerId, now);
      if (down.size === 2) {
        const [p, q] = [...down.values()];
        const apart = Math.hypot(p[0] - q[0], p[1] - q[1]);
        this.shift = [this.shift[0] + dx / 2, this.shift[1] + dy / 2];
        if (gap > 0) zoomAt(apart / gap, [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2]);
        gap = apart;
        this.draw();
      } else if (event.shiftKey || event.buttons & 6) {
        this.shift = [this.shift[0] + dx, this.shift[1] + dy];
        this.draw();
      } else {
        turnBy(dx * 0.008, dy * 0.008);
      }
    });
    const up = (event) => {
      const was = down.get(event.pointerId);
      down.delete(event.pointerId);
      gap = 0;
      if (event.type === "pointerup" && was && !this.moved && this.clicked) this.clicked(was);
    };
    canvas.addEventListener("pointerup", up);
    canvas.addEventListener("pointercancel", up);
    canvas.addEventListener("contextmenu", (event) => event.preventDefault());
    canvas.addEventListener("wheel", (event) => {
      event.preventDefault();
      zoomAt(Math.exp(-event.deltaY * (event.deltaMode ? 0.04 : 0.0015)), where(event));
    }, { passive: false });
    canvas.addEventListener("keydown", (event) => {
      const step = 0.12;
      const keys = {
        ArrowLeft: () => turnBy(-step, 0), ArrowRight: () => turnBy(step, 0),
        ArrowUp: () => turnBy(0, step), ArrowDown: () => turnBy(0, -step),
        "+": () => zoomAt(1.2, [canvas.clientWidth / 2, canvas.clientHeight / 2]),
        "=": () => zoomAt(1.2, [canvas.clientWidth / 2, canvas.clientHeight / 2]),
        "-": () => zoomAt(1 / 1.2, [canvas.clientWidth / 2, canvas.clientHeight / 2]),
        0: () => this.look("first"),
      };
      if (!keys[event.key] || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      keys[event.key]();
    });
  }
}
