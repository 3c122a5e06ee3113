// The screen of the trace editor.  The kernel holds the truth: this file draws what the traits `scene`,
// `trace` and `view` say, and sends small edits back.  Nothing here decides anything about a recording.

const DRAG_PX = 4; // a shorter movement of the pointer is a click
const GRIP_PX = 9; // how near to an edge counts as on it
const SAME_GESTURE_MS = 1000; // key presses that follow each other this fast are undone together
const LEAST_VIEW_S = 30;
const STEP_S = { ArrowLeft: -10, ArrowDown: -10, ArrowRight: 10, ArrowUp: 10, PageDown: -60, PageUp: 60 };
const EDGES = { start: "Window start", both: "Whole window", stop: "Window end" };
const REASONS = ["talking", "singing", "strap", "pause", "by hand"];
const GUTTER = { left: 50, right: 14, top: 30, axis: 26 };

const clamp = (x, low, high) => Math.min(Math.max(x, low), high);

function clock(seconds) {
  const s = Math.floor(seconds + 0.5);
  const two = (n) => String(n).padStart(2, "0");
  return `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
}

const stretch = (s) => `${clock(s.start_s)}, ${Math.round(s.stop_s - s.start_s)} s`;

// element("button.quiet", {text, ...attributes}, children) -> DOM node
function element(what, attributes = {}, ...children) {
  const [tag, ...classes] = what.split(".");
  const node = document.createElement(tag);
  node.className = classes.join(" ");
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "text") node.textContent = value;
    else if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value !== undefined) node.setAttribute(name, value);
  }
  node.append(...children);
  return node;
}

const button = (text, onclick, more = {}) =>
  element("button", { type: "button", text, onclick, ...more });

// JupyterLab acts on plain keys pressed in an output: `d d` would delete the cell.
function guardKeys(node) {
  if (!node || node.dataset.keysStayHere) return;
  node.dataset.keysStayHere = "yes";
  node.addEventListener("keydown", (event) => {
    if (!event.ctrlKey && !event.metaKey && !event.altKey) event.stopPropagation();
  });
}

// The lanes of the recording: one Float32Array each on an even 1-s grid, NaN where nothing was measured.
function readLanes(model) {
  const raw = model.get("trace");
  const bytes = raw.buffer.slice(raw.byteOffset, raw.byteOffset + raw.byteLength);
  const all = new Float32Array(bytes);
  const n = model.get("scene").n || 0;
  return (model.get("scene").lanes || []).map((lane, k) => ({ ...lane, values: all.subarray(k * n, (k + 1) * n) }));
}

// Lowest and highest value under each pixel column, so that a one-second spike is never averaged away.
function columns(values, from_s, to_s, width) {
  const low = new Float32Array(width).fill(NaN);
  const high = new Float32Array(width).fill(NaN);
  const scale = width / (to_s - from_s);
  const last = Math.min(values.length - 1, Math.ceil(to_s));
  for (let i = Math.max(0, Math.floor(from_s)); i <= last; i++) {
    const v = values[i];
    const x = Math.floor((i - from_s) * scale);
    if (Number.isNaN(v) || x < 0 || x >= width) continue;
    if (!(low[x] <= v)) low[x] = v;
    if (!(high[x] >= v)) high[x] = v;
  }
  return { low, high };
}

function rangeOf(values, from_s, to_s, lane) {
  const seen = values.slice(Math.max(0, Math.floor(from_s)), Math.ceil(to_s) + 1).filter((v) => !Number.isNaN(v)).sort();
  if (!seen.length) return [0, 1];
  const at = (share) => seen[Math.round(share * (seen.length - 1))];
  const [low, high] = [at(0.004), at(0.985)]; // a strap gone wild for a minute must not flatten the rest
  const pad = Math.max(lane.least_span - (high - low), 0) / 2;
  return [low - pad - 0.06 * (high - low), high + pad + 0.16 * (high - low)];
}

function niceStep(span, most, steps) {
  return steps.find((step) => span / step <= most) ?? steps[steps.length - 1];
}

class Chart {
  constructor(model, send) {
    this.model = model;
    this.send = send;
    this.mode = "window";
    this.reason = () => "by hand";
    this.onDrag = () => {}; // told the window while it is dragged, null when a drag came to nothing
    this.onLive = () => {}; // told what the kernel says about it
    this.canvas = element("canvas", { "aria-hidden": "true" });
    this.handles = Object.fromEntries(
      Object.entries(EDGES).map(([edge, label]) => [edge, this.makeHandle(edge, label)]),
    );
    this.node = element("div.trace", {}, this.canvas, ...Object.values(this.handles));
    this.readout = element("p.readout", { text: "\u00a0" });
    this.canvas.addEventListener("pointerdown", (event) => this.press(event));
    this.canvas.addEventListener("pointermove", (event) => this.hover(event));
    this.canvas.addEventListener("pointerleave", () => this.unhover());
    this.canvas.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    this.reload();
  }

  reload() {
    this.lanes = readLanes(this.model);
    const length_s = this.model.get("scene").length_s || 1;
    if (length_s !== this.length_s) this.span = [0, length_s];
    this.length_s = length_s;
    this.cache = null;
    this.draw();
  }

  get view() {
    return this.model.get("view");
  }

  get window() {
    return this.drag?.window ?? this.view.window;
  }

  x(time_s) {
    return GUTTER.left + ((time_s - this.span[0]) / (this.span[1] - this.span[0])) * this.plot_px;
  }

  time(x) {
    return this.span[0] + ((x - GUTTER.left) / this.plot_px) * (this.span[1] - this.span[0]);
  }

  // ---- keyboard -------------------------------------------------------------------------------------

  makeHandle(edge, label) {
    const handle = element(`div.handle.${edge}`, { role: "slider", tabindex: "0", "aria-label": label, "aria-valuemin": 0 });
    handle.addEventListener("pointerdown", (event) => this.press(event, edge));
    handle.addEventListener("keydown", (event) => this.key(event, edge));
    return handle;
  }

  key(event, edge) {
    let by_s = STEP_S[event.key];
    if (event.key === "Home") by_s = -this.length_s;
    if (event.key === "End") by_s = this.length_s;
    if (by_s === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    if (event.shiftKey) by_s /= 10;
    const now = performance.now();
    const goesOn = this.keys?.edge === edge && now - this.keys.at < SAME_GESTURE_MS;
    this.keys = { edge, at: now, id: goesOn ? this.keys.id : `${edge} ${now}` };
    this.send("nudge_window", { edge, by_s }, this.keys.id);
  }

  // ---- pointer --------------------------------------------------------------------------------------

  place(event) {
    const box = this.canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  press(event, edge) {
    if (event.button !== 0 || !this.lanes.length) return;
    const [x, y] = this.place(event);
    const inHeart = y <= GUTTER.top + this.lanes[0].height;
    const leaveOut = inHeart && (event.shiftKey || this.mode === "exclude");
    const what = edge && !leaveOut ? edge : inHeart ? (leaveOut ? "exclude" : this.edgeAt(x) ?? "draw") : "pan";
    const from = { x, time_s: this.time(x), span: [...this.span], window: this.view.window && [...this.view.window] };
    this.drag = { what, from, moved: false };
    event.preventDefault();
    (edge ? this.handles[edge] : this.canvas).focus?.({ preventScroll: true });
    const target = event.currentTarget;
    target.setPointerCapture(event.pointerId);
    const move = (ev) => this.move(ev);
    const end = (ev) => {
      target.removeEventListener("pointermove", move);
      target.removeEventListener("pointerup", end);
      target.removeEventListener("pointercancel", end);
      this.release(ev);
    };
    target.addEventListener("pointermove", move);
    target.addEventListener("pointerup", end);
    target.addEventListener("pointercancel", end);
  }

  edgeAt(x) {
    const window = this.view.window;
    if (!window) return undefined;
    if (Math.abs(x - this.x(window[0])) <= GRIP_PX) return "start";
    if (Math.abs(x - this.x(window[1])) <= GRIP_PX) return "stop";
    return undefined;
  }

  move(event) {
    const drag = this.drag;
    if (!drag) return;
    const [x] = this.place(event);
    if (!drag.moved && Math.abs(x - drag.from.x) < DRAG_PX) return;
    drag.moved = true;
    const t = clamp(this.time(x), 0, this.length_s);
    const by = t - drag.from.time_s;
    const w = drag.from.window;
    if (drag.what === "pan") {
      const per_px = (drag.from.span[1] - drag.from.span[0]) / this.plot_px;
      this.look(drag.from.span[0] - (x - drag.from.x) * per_px, drag.from.span[1] - (x - drag.from.x) * per_px);
      return;
    }
    if (drag.what === "exclude" || drag.what === "draw") {
      const pair = [drag.from.time_s, t].map((s) => clamp(Math.round(s), 0, this.length_s)).sort((a, b) => a - b);
      if (drag.what === "exclude") drag.stretch = pair;
      else drag.window = pair;
    } else if (w) {
      const shift = clamp(by, -w[0], this.length_s - w[1]);
      if (drag.what === "both") drag.window = [w[0] + shift, w[1] + shift].map(Math.round);
      if (drag.what === "start") drag.window = [Math.min(Math.round(t), w[1] - 60), w[1]];
      if (drag.what === "stop") drag.window = [w[0], Math.max(Math.round(t), w[0] + 60)];
    }
    if (drag.window) {
      this.onDrag(drag.window);
      this.peek(drag.window);
    }
    this.draw();
  }

  release(event) {
    const drag = this.drag;
    if (!drag) return;
    if (event.type === "pointercancel") {
      drag.moved = false;
      this.onDrag(null);
    }
    if (!drag.moved) {
      this.drag = null;
      this.draw();
      if (event.type !== "pointercancel" && drag.what !== "pan") this.click(drag.from.time_s);
      return;
    }
    if (drag.what === "pan") this.drag = null;
    else if (drag.stretch) this.finish("exclude", { start_s: drag.stretch[0], stop_s: drag.stretch[1], reason: this.reason() });
    else if (drag.window) this.finish("set_window", { start_s: drag.window[0], stop_s: drag.window[1] });
    else this.drag = null;
  }

  // What was drawn stays on the screen until the kernel has answered.
  finish(edit, values) {
    this.send(edit, values);
  }

  click(time_s) {
    const number = this.view.suggestions.findIndex((s) => time_s >= s.start_s - 2 && time_s < s.stop_s + 2);
    if (number < 0) return;
    const open = this.view.suggestions[number].state !== "accepted";
    this.send(open ? "accept" : "reopen", { suggestion: number });
  }

  // Numbers while dragging: at most one question to the kernel is on its way.
  peek(window) {
    if (this.asked) {
      this.next = window;
      return;
    }
    this.asked = true;
    this.model.send({ peek: window });
  }

  peeked(live) {
    this.asked = false;
    if (!this.drag) this.next = null;
    if (this.next) {
      const next = this.next;
      this.next = null;
      this.peek(next);
    }
    if (this.drag) {
      this.drag.halves = live.halves;
      this.onLive(live);
      this.draw();
    }
  }

  answered() {
    this.drag = null;
    this.next = null;
    this.asked = false;
    this.draw();
  }

  // ---- where we look --------------------------------------------------------------------------------

  look(from_s, to_s) {
    const width = clamp(to_s - from_s, Math.min(LEAST_VIEW_S, this.length_s), this.length_s);
    const start = clamp((from_s + to_s - width) / 2, 0, this.length_s - width);
    this.span = [start, start + width];
    this.cache = null;
    this.draw();
  }

  zoom(factor, about_s = (this.span[0] + this.span[1]) / 2) {
    this.look(about_s - (about_s - this.span[0]) * factor, about_s + (this.span[1] - about_s) * factor);
  }

  wheel(event) {
    const whole = this.span[1] - this.span[0] >= this.length_s - 1;
    const sideways = event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY);
    if (sideways && !whole) {
      event.preventDefault();
      const by = ((event.deltaX || event.deltaY) / this.plot_px) * (this.span[1] - this.span[0]);
      this.look(this.span[0] + by, this.span[1] + by);
    } else if (event.ctrlKey || event.metaKey || this.node.contains(document.activeElement)) {
      if (whole && event.deltaY > 0 && !event.ctrlKey) return; // the page scrolls on
      event.preventDefault();
      this.zoom(Math.exp(clamp(event.deltaY, -120, 120) / 300), this.time(this.place(event)[0]));
    }
  }

  hover(event) {
    if (this.drag || !this.lanes.length) return;
    const [x, y] = this.place(event);
    const t = Math.round(this.time(x));
    this.canvas.style.cursor =
      y > GUTTER.top + this.lanes[0].height ? "grab" : this.edgeAt(x) ? "ew-resize" : "crosshair";
    if (t < 0 || t > this.length_s) return this.unhover();
    const said = this.lanes
      .filter((lane) => !Number.isNaN(lane.values[t] ?? NaN))
      .map((lane) => `${lane.values[t].toFixed(lane.digits)} ${lane.unit}`);
    this.readout.textContent = [clock(t), ...said].join(" · ");
    this.pointer_s = t;
    this.draw();
  }

  unhover() {
    this.pointer_s = undefined;
    this.readout.textContent = "\u00a0";
    this.draw();
  }

  // ---- drawing --------------------------------------------------------------------------------------

  resize() {
    const width = Math.floor(this.node.clientWidth);
    if (!width || !this.lanes.length) return false;
    const height = GUTTER.top + this.lanes.reduce((sum, lane) => sum + lane.height + lane.above, 0) + GUTTER.axis;
    const dots = window.devicePixelRatio || 1;
    if (this.size !== `${width} ${height} ${dots}`) {
      this.size = `${width} ${height} ${dots}`;
      this.canvas.width = Math.round(width * dots);
      this.canvas.height = Math.round(height * dots);
      this.canvas.style.height = `${height}px`;
      this.cache = null;
    }
    this.dots = dots;
    this.width_px = width;
    this.height_px = height;
    this.plot_px = Math.max(width - GUTTER.left - GUTTER.right, 50);
    return true;
  }

  draw() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame(() => {
      this.waiting = null;
      if (this.resize()) this.paint();
    });
  }

  paint() {
    const g = this.canvas.getContext("2d");
    const style = getComputedStyle(this.node);
    const ink = (role) => style.getPropertyValue(`--${role}`).trim();
    this.ink = Object.fromEntries(["paper", "ink", "muted", "grey", "rule", "accent", "warm"].map((r) => [r, ink(r)]));
    this.cache ??= this.lanes.map((lane) => ({
      range: rangeOf(lane.values, this.span[0], this.span[1], lane),
      ...columns(lane.values, this.span[0], this.span[1], Math.ceil(this.plot_px * this.dots)),
    }));
    g.setTransform(this.dots, 0, 0, this.dots, 0, 0);
    g.clearRect(0, 0, this.width_px, this.height_px);
    let top = GUTTER.top;
    this.boxes = this.lanes.map((lane) => {
      top += lane.above;
      const box = { top, height: lane.height };
      top += lane.height;
      return box;
    });
    this.paintWindowField(g);
    this.paintAxis(g, top);
    this.lanes.forEach((lane, k) => this.paintLane(g, lane, k));
    this.paintHalves(g);
    this.paintLaps(g, top);
    this.paintPointer(g, top);
    this.placeHandles();
  }

  clipped(g, draw) {
    g.save();
    g.beginPath();
    g.rect(GUTTER.left, 0, this.plot_px, this.height_px);
    g.clip();
    draw();
    g.restore();
  }

  paintWindowField(g) {
    if (!this.window) return;
    const [a, b] = this.window.map((s) => this.x(s));
    const bottom = this.boxes.at(-1).top + this.boxes.at(-1).height;
    this.clipped(g, () => {
      g.globalAlpha = 0.09;
      g.fillStyle = this.ink.accent;
      g.fillRect(a, GUTTER.top, b - a, bottom - GUTTER.top);
    });
  }

  paintAxis(g, bottom) {
    const span = this.span[1] - this.span[0];
    const step = niceStep(span, this.plot_px / 84, [5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200]);
    g.font = `11.5px ${getComputedStyle(this.node).getPropertyValue("--figures")}`;
    g.textAlign = "center";
    g.textBaseline = "top";
    g.lineWidth = 1;
    for (let t = Math.ceil(this.span[0] / step) * step; t <= this.span[1] + 1e-6; t += step) {
      const x = Math.round(this.x(t)) + 0.5;
      g.strokeStyle = this.ink.rule;
      g.beginPath();
      g.moveTo(x, bottom);
      g.lineTo(x, bottom + 5);
      g.stroke();
      g.fillStyle = this.ink.muted;
      g.fillText(clock(t), clamp(x, GUTTER.left + 18, this.width_px - 24), bottom + 8);
    }
  }

  paintLane(g, lane, k) {
    const { top, height } = this.boxes[k];
    const { range, low, high } = this.cache[k];
    const y = (v) => top + height - (clamp((v - range[0]) / (range[1] - range[0]), 0, 1)) * height;
    lane.y = y;
    g.font = `11.5px ${getComputedStyle(this.node).getPropertyValue("--figures")}`;
    g.textBaseline = "middle";
    g.textAlign = "right";
    const step = niceStep(range[1] - range[0], Math.max(height / 34, 2), [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500]);
    for (let v = Math.ceil(range[0] / step) * step; v <= range[1]; v += step) {
      g.strokeStyle = this.ink.rule;
      g.globalAlpha = 0.7;
      g.beginPath();
      g.moveTo(GUTTER.left, Math.round(y(v)) + 0.5);
      g.lineTo(GUTTER.left + this.plot_px, Math.round(y(v)) + 0.5);
      g.stroke();
      g.globalAlpha = 1;
      g.fillStyle = this.ink.muted;
      if (y(v) > top + 5) g.fillText(String(Math.round(v * 10) / 10), GUTTER.left - 8, y(v));
    }
    g.textAlign = "left";
    g.textBaseline = "alphabetic";
    g.fillStyle = this.ink.muted;
    g.fillText(lane.label, 4, top - 10);
    if (k === 0) this.paintStretches(g, top, height);
    this.clipped(g, () => {
      const line = this.lineOf(low, high, y, lane.steps);
      g.lineWidth = k ? 1.1 : 1.25;
      g.lineJoin = "round";
      g.strokeStyle = this.ink.grey;
      g.stroke(line);
      if (!this.window) return;
      g.save();
      g.beginPath();
      (k ? [this.window] : this.countedStretches()).forEach(([a, b]) => g.rect(this.x(a), top - 2, this.x(b) - this.x(a), height + 4));
      g.clip();
      g.strokeStyle = k ? this.ink.muted : this.ink.ink;
      g.stroke(line);
      g.restore();
    });
  }

  lineOf(low, high, y, steps) {
    const path = new Path2D();
    let pen = null;
    const longest = Math.max(3, (12 * low.length) / (this.span[1] - this.span[0])); // sparse columns when zoomed in
    for (let i = 0; i < low.length; i++) {
      if (Number.isNaN(low[i])) continue;
      const x = GUTTER.left + (i + 0.5) / this.dots;
      const joined = pen && i - pen.i <= longest;
      if (!joined) path.moveTo(x, y(high[i]));
      else if (steps) path.lineTo(x, pen.y);
      path.lineTo(x, y(high[i]));
      path.lineTo(x, y(low[i]));
      pen = { i, y: y(low[i]) };
    }
    return path;
  }

  // The window without what is left out: these stretches are drawn in ink.
  countedStretches() {
    let left = [this.window];
    for (const e of this.view.exclusions.filter((one) => one.is_heart_rate))
      left = left.flatMap(([a, b]) => [[a, Math.min(b, e.start_s)], [Math.max(a, e.stop_s), b]].filter(([p, q]) => q > p));
    return left;
  }

  paintStretches(g, top, height) {
    const bar = (start_s, stop_s) => {
      const a = this.x(start_s);
      return [a - 0.5, Math.max(this.x(stop_s) - a, 2) + 1];
    };
    this.clipped(g, () => {
      const solid = this.view.exclusions.filter((one) => one.is_heart_rate);
      if (this.drag?.stretch) solid.push({ start_s: this.drag.stretch[0], stop_s: this.drag.stretch[1] });
      for (const e of solid) {
        const [x, w] = bar(e.start_s, e.stop_s);
        g.fillStyle = this.ink.warm;
        g.globalAlpha = 0.3;
        g.fillRect(x, top, w, height);
        g.globalAlpha = 1;
        g.fillRect(x, top, w, 4);
      }
      for (const s of this.view.suggestions.filter((one) => one.state === "open")) {
        const [x, w] = bar(s.start_s, s.stop_s);
        g.save();
        g.beginPath();
        g.rect(x, top, w, height);
        g.clip();
        g.strokeStyle = this.ink.warm;
        g.globalAlpha = s.is_information ? 0.25 : 0.65;
        g.lineWidth = 1;
        g.beginPath();
        for (let d = Math.floor((x - height) / 6) * 6; d < x + w; d += 6) {
          g.moveTo(d, top + height);
          g.lineTo(d + height, top);
        }
        g.stroke();
        g.restore();
        g.fillStyle = this.ink.warm;
        g.fillRect(x, top, w, 1.5);
      }
    });
  }

  paintHalves(g) {
    if (!this.window) return;
    const { top, height } = this.boxes[0];
    const bottom = this.boxes.at(-1).top + this.boxes.at(-1).height;
    const [start_s, stop_s] = this.window;
    const mid_s = (start_s + stop_s) / 2;
    const halves = this.drag?.window ? this.drag.halves : this.view.halves;
    const [a, m, b] = [start_s, mid_s, stop_s].map((s) => this.x(s));
    this.clipped(g, () => {
      g.strokeStyle = this.ink.accent;
      g.lineWidth = 1;
      g.setLineDash([2, 3]);
      g.beginPath();
      g.moveTo(Math.round(m) + 0.5, GUTTER.top);
      g.lineTo(Math.round(m) + 0.5, bottom);
      g.stroke();
      g.setLineDash([]);
      g.beginPath();
      for (const x of [a, b]) {
        g.moveTo(x, GUTTER.top);
        g.lineTo(x, bottom);
      }
      g.lineWidth = 1.5;
      g.stroke();
    });
    if (!halves) return;
    g.font = `600 13px ${getComputedStyle(this.node).getPropertyValue("--figures")}`;
    g.textBaseline = "alphabetic";
    [[a, m, halves[0]], [m, b, halves[1]]].forEach(([from, to, mean], second) => {
      const y = this.lanes[0].y(mean);
      this.clipped(g, () => {
        g.beginPath();
        g.moveTo(from, y);
        g.lineTo(to, y);
        for (const [role, width] of [["paper", 4.5], ["accent", 2.25]]) {
          g.strokeStyle = this.ink[role];
          g.lineWidth = width;
          g.stroke();
        }
      });
      const label = `${mean.toFixed(1)} bpm`;
      const width = g.measureText(label).width;
      const x = second ? m + 9 : m - 9 - width;
      if (x < GUTTER.left || x + width > GUTTER.left + this.plot_px) return;
      // above the trace where there is room, so that the number never lies on the line it sums up
      const at = clamp(y - 0.16 * height, top + 16, top + height - 6);
      g.lineWidth = 4;
      g.lineJoin = "round";
      g.strokeStyle = this.ink.paper;
      g.strokeText(label, x, at);
      g.fillStyle = this.ink.accent;
      g.textAlign = "left";
      g.fillText(label, x, at);
    });
  }

  paintLaps(g, bottom) {
    this.clipped(g, () => {
      g.fillStyle = this.ink.muted;
      for (const lap of this.model.get("scene").laps || []) {
        const x = Math.round(this.x(lap.start_s));
        g.beginPath();
        g.moveTo(x - 4, bottom + 5);
        g.lineTo(x + 4, bottom + 5);
        g.lineTo(x, bottom - 2);
        g.fill();
      }
    });
  }

  paintPointer(g, bottom) {
    if (this.pointer_s === undefined || this.drag) return;
    g.strokeStyle = this.ink.grey;
    g.lineWidth = 1;
    g.beginPath();
    const x = Math.round(this.x(this.pointer_s)) + 0.5;
    g.moveTo(x, GUTTER.top);
    g.lineTo(x, bottom);
    g.stroke();
  }

  placeHandles() {
    const window = this.window;
    const [from, to] = [GUTTER.left, GUTTER.left + this.plot_px];
    for (const [edge, handle] of Object.entries(this.handles)) {
      handle.hidden = !window;
      if (!window) continue;
      const value = edge === "stop" ? window[1] : window[0];
      handle.setAttribute("aria-valuemax", this.length_s);
      handle.setAttribute("aria-valuenow", value);
      handle.setAttribute("aria-valuetext", edge === "both" ? `${clock(window[0])} to ${clock(window[1])}` : clock(value));
      if (edge === "both") {
        const [a, b] = window.map((s) => clamp(this.x(s), from, to));
        handle.style.left = `${a}px`;
        handle.style.width = `${Math.max(b - a, 0)}px`;
      } else {
        const x = this.x(value);
        handle.style.left = `${clamp(x, from, to)}px`;
        handle.style.height = `${this.lanes[0].height}px`;
        handle.classList.toggle("outside", x < from - 1 || x > to + 1);
      }
    }
  }
}

// A time that can be typed or slid; `done` gets the text.
function timeField(label, done) {
  const text = element("input.time", { type: "text", "aria-label": label, spellcheck: "false", autocomplete: "off" });
  const slider = element("input", { type: "range", min: 0, step: 1, "aria-label": `${label}, slider` });
  slider.addEventListener("input", () => {
    text.value = clock(+slider.value);
    slider.setAttribute("aria-valuetext", text.value);
  });
  slider.addEventListener("change", () => done(text.value));
  text.addEventListener("change", () => {
    done(text.value);
  });
  const show = (seconds, length_s) => {
    slider.max = length_s;
    slider.value = seconds;
    slider.setAttribute("aria-valuetext", clock(seconds));
    text.value = clock(seconds);
  };
  return { node: element("label.field", {}, element("span", { text: label }), text, slider), show, text, slider };
}

class Controls {
  constructor(model, chart, send, act) {
    Object.assign(this, { model, chart, send, act });
    this.sentence = element("p.sentence");
    this.detail = element("p.detail");
    this.status = element("p.status", { role: "status" });
    this.changes = element("ul.changes");
    this.findings = element("ul.findings", { "aria-label": "What to be careful about" });
    this.kind = element("select", { "aria-label": "Kind of session" });
    this.kind.addEventListener("change", () => send("set_kind", { kind: this.kind.value || null }));
    this.buttons = {
      undo: button("Undo", () => act("undo")),
      redo: button("Redo", () => act("redo")),
      reset: button("Back to suggestions", () => send("back_to_suggestions")),
      again: button("Read the file again", () => act("read again"), { hidden: "" }),
      save: button("Save decisions", () => act("save"), { class: "primary" }),
    };
    chart.onDrag = (window) => (window ? this.showWindow(window) : this.show());
    chart.onLive = (live) => {
      this.sentence.textContent = live.sentence;
    };
    this.windowPart();
    this.leftOutPart();
    this.stagePart();
  }

  toolbar() {
    const { undo, redo, reset, again, save } = this.buttons;
    const see = (text, label, go) => button(text, go, { "aria-label": label, title: label });
    const window = () => this.chart.window ?? [0, this.chart.length_s];
    return element(
      "div.toolbar", {},
      element("label.kind", {}, element("span", { text: "Kind" }), this.kind),
      element("div.group", { role: "group", "aria-label": "Zoom" },
        see("−", "Zoom out", () => this.chart.zoom(2)),
        see("+", "Zoom in", () => this.chart.zoom(0.5)),
        see("Window", "Zoom to the window", () => {
          const [a, b] = window();
          this.chart.look(a - 0.03 * (b - a), b + 0.03 * (b - a));
        }),
        see("Whole", "Zoom to the whole recording", () => this.chart.look(0, this.chart.length_s))),
      element("div.group", {}, undo, redo),
      element("div.ends", {}, reset, again, save),
    );
  }

  windowPart() {
    const type = (edge) => (text) => this.send("type_window", { edge, text });
    this.start = timeField("Start", type("start"));
    this.stop = timeField("End", type("stop"));
    this.laps = element("ul.rows.laps");
    this.lapsHead = element("h4", { text: "Laps pressed on the watch" });
    this.windowNode = element("section", {}, element("h3", { text: "Window" }), this.start.node, this.stop.node,
      this.lapsHead, this.laps);
  }

  leftOutPart() {
    this.suggestions = element("ul.rows.suggestions");
    this.exclusions = element("ul.rows.exclusions");
    const keep = () => {};
    this.from = timeField("From", keep);
    this.to = timeField("To", keep);
    this.reason = element("select", { "aria-label": "Reason" }, ...REASONS.map((r) => element("option", { text: r })));
    this.chart.reason = () => this.reason.value;
    const add = button("Leave out", () =>
      this.send("type_exclusion", { start: this.from.text.value, stop: this.to.text.value, reason: this.reason.value }));
    const draw = element("input", { type: "checkbox" });
    draw.addEventListener("change", () => {
      this.chart.mode = draw.checked ? "exclude" : "window";
      this.chart.node.classList.toggle("leaving-out", draw.checked);
    });
    this.leftOutNode = element("section", {}, element("h3", { text: "Left out" }), this.suggestions, this.exclusions,
      element("h4", { text: "Leave out another stretch" }),
      element("label.check", {}, draw, element("span", { text: "Draw it on the trace (or hold Shift and drag)" })),
      this.from.node, this.to.node,
      element("div.field", {}, element("span", { text: "Reason" }), this.reason, add));
  }

  stagePart() {
    this.stages = element("tbody");
    const head = ["From", "To", "km/h", "%", "W", ""].map((text) => element("th", { text, scope: "col" }));
    this.stageTable = element("table", {}, element("thead", {}, element("tr", {}, ...head)), this.stages);
    this.stageNode = element("section", {}, element("h3", { text: "Settings of the treadmill or ergometer" }),
      this.stageTable, button("Add a stage", () => this.send("add_stage")));
  }

  // ---- from the kernel to the screen ----------------------------------------------------------------

  show() {
    const view = this.model.get("view");
    const scene = this.model.get("scene");
    const { undo, redo, again, save } = this.buttons;
    this.sentence.textContent = view.sentence;
    this.detail.textContent = view.detail;
    this.status.textContent = view.status;
    this.status.classList.toggle("failed", view.failed);
    undo.disabled = !view.can_undo;
    redo.disabled = !view.can_redo;
    save.disabled = !view.is_dirty;
    again.hidden = !view.refused_save;
    this.findings.replaceChildren(...view.findings.map((text) => element("li", { text })));
    const said = view.changes.length ? ["Not saved yet:", ...view.changes] : ["Nothing has changed since the last save."];
    this.changes.replaceChildren(...said.map((text) => element("li", { text })));
    this.showKind(view, scene);
    this.showLaps(scene);
    if (view.window) this.showWindow(view.window);
    const found = JSON.stringify([scene.length_s, view.suggestions.map((s) => [s.start_s, s.stop_s, s.reason])]);
    if (found !== this.found) { // another recording
      this.found = found;
      this.makeSuggestions(view);
      const [a, b] = view.window ?? [0, scene.length_s];
      this.from.show((a + b) / 2, scene.length_s);
      this.to.show(Math.min((a + b) / 2 + 30, scene.length_s), scene.length_s);
    }
    this.showSuggestions(view);
    this.showExclusions(view);
    this.showStages(view);
  }

  showWindow([start_s, stop_s]) {
    const length_s = this.model.get("scene").length_s;
    this.start.show(start_s, length_s);
    this.stop.show(stop_s, length_s);
  }

  showKind(view, scene) {
    if (this.kind.options.length !== scene.kinds.length + 1)
      this.kind.replaceChildren(element("option", { value: "", text: "not said yet" }),
        ...scene.kinds.map((text) => element("option", { value: text, text })));
    this.kind.value = view.kind ?? "";
  }

  showLaps(scene) {
    if (this.shownLaps === scene.laps) return;
    this.shownLaps = scene.laps;
    this.lapsHead.hidden = scene.laps.length < 2;
    const rows = scene.laps.length < 2 ? [] : scene.laps;
    this.laps.replaceChildren(...rows.map((lap, k) => element("li", {},
      element("span.what", { text: `${k + 1}` }),
      element("span.when", { text: `${clock(lap.start_s)} – ${clock(lap.stop_s)}` }),
      button("window", () => this.send("window_from_lap", { lap: k }), { "aria-label": `Lap ${k + 1} as window` }),
      k + 1 < rows.length
        ? button(`${k + 1} + ${k + 2} halves`, () => this.send("halves_from_laps", { lap: k }),
            { "aria-label": `Laps ${k + 1} and ${k + 2} as halves` })
        : "")));
  }

  makeSuggestions(view) {
    this.suggestionRows = view.suggestions.map((s, k) => {
      const box = element("input", { type: "checkbox" });
      box.addEventListener("change", () => this.send(box.checked ? "accept" : "reopen", { suggestion: k }));
      const when = stretch(s);
      const effect = element("span.effect");
      const no = button("no", () => this.send(this.suggestionRows[k].row.classList.contains("rejected") ? "reopen" : "reject",
        { suggestion: k }), { "aria-label": `Turn down ${s.reason} ${when}` });
      const see = button("see", () => this.chart.look(s.start_s - 90, s.stop_s + 90), { "aria-label": `Zoom to ${when}` });
      const row = element("li", {}, element("label.check", {}, box, element("span.when", { text: when }),
        element("span.what", { text: s.is_information ? `${s.reason}, for information` : s.reason })), effect, see, no);
      return { row, box, effect, no };
    });
    this.suggestions.replaceChildren(...(view.suggestions.length ? this.suggestionRows.map((r) => r.row)
      : [element("li.none", { text: "Nothing in the heart rate looks like an artefact." })]));
  }

  showSuggestions(view) {
    view.suggestions.forEach((s, k) => {
      const { row, box, effect, no } = this.suggestionRows[k];
      box.checked = s.state === "accepted";
      row.className = s.state;
      effect.textContent = s.effect;
      no.textContent = s.state === "rejected" ? "reopen" : "no";
    });
  }

  showExclusions(view) {
    const hand = view.exclusions.map((e, k) => ({ ...e, k })).filter((e) => !e.is_suggestion);
    const key = JSON.stringify(hand);
    if (key === this.exclusionKey) return;
    const hadFocus = this.exclusions.contains(document.activeElement);
    this.exclusionKey = key;
    this.exclusions.replaceChildren(...hand.map((e) => {
      const when = stretch(e);
      return element("li.accepted", {}, element("span.when", { text: when }),
        element("span.what", { text: e.is_heart_rate ? e.reason : `${e.reason} (not heart rate)` }),
        element("span.effect", { text: e.effect }),
        button("see", () => this.chart.look(e.start_s - 90, e.stop_s + 90), { "aria-label": `Zoom to ${when}` }),
        button("count", () => this.send("count_again", { exclusion: e.k }), { "aria-label": `Count ${when} again` }));
    }));
    if (hadFocus) (this.exclusions.querySelector("button:last-child") ?? this.reason).focus({ preventScroll: true });
  }

  showStages(view) {
    const names = ["start_s", "stop_s", "speed_mps", "grade", "power_w"];
    this.stageTable.hidden = !view.stages.length;
    while (this.stages.rows.length > view.stages.length) this.stages.deleteRow(-1);
    while (this.stages.rows.length < view.stages.length) {
      const k = this.stages.rows.length;
      const cells = names.map((name, c) => {
        const input = element("input", { type: "text", inputmode: c > 1 ? "decimal" : undefined,
          "aria-label": `Stage ${k + 1}: ${["from", "to", "speed in km/h", "grade in per cent", "power in watts"][c]}` });
        input.addEventListener("change", () => this.send("type_stage", { stage: k, name, text: input.value }));
        return element("td", {}, input);
      });
      const gone = button("×", () => this.send("remove_stage", { stage: k }), { class: "link", "aria-label": `Remove stage ${k + 1}` });
      this.stages.append(element("tr", {}, ...cells, element("td", {}, gone)));
    }
    view.stages.forEach((texts, k) => texts.forEach((text, c) => {
      this.stages.rows[k].cells[c].firstChild.value = text;
    }));
  }
}

function render({ model, el }) {
  const send = (edit, values = {}, gesture = null) => model.send({ edit, values, gesture });
  const act = (what) => model.send({ act: what });
  const chart = new Chart(model, send);
  const controls = new Controls(model, chart, send, act);
  const { windowNode, leftOutNode, stageNode, sentence, detail, findings, status, changes } = controls;
  const root = element("div.coach-editor", { role: "group", "aria-label": "Trace editor" },
    controls.toolbar(), chart.node, chart.readout, sentence, detail, findings,
    element("div.saying", {}, status, changes),
    element("div.parts", {}, windowNode, leftOutNode, stageNode));
  guardKeys(root);
  root.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || event.target.type === "text") return;
    event.preventDefault();
    event.stopPropagation();
    act(event.shiftKey ? "redo" : "undo");
  });
  el.replaceChildren(root);
  requestAnimationFrame(() => guardKeys(el.closest(".jp-OutputArea")));

  const showView = () => {
    controls.show();
    chart.answered();
  };
  const showScene = () => {
    root.classList.toggle("empty", !model.get("scene").n);
    chart.reload();
  };
  const onMessage = (content) => content.live && chart.peeked(content.live);
  model.on("change:trace", showScene);
  model.on("change:scene", showScene);
  model.on("change:view", showView);
  model.on("msg:custom", onMessage);
  const resized = new ResizeObserver(() => chart.draw());
  resized.observe(chart.node);
  const themed = new MutationObserver(() => {
    chart.draw();
    setTimeout(() => chart.draw(), 500); // the theme's style sheets may come after its name
  });
  themed.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light", "data-jp-theme-name"] });
  showScene();
  showView();
  return () => {
    model.off("change:trace", showScene);
    model.off("change:scene", showScene);
    model.off("change:view", showView);
    model.off("msg:custom", onMessage);
    resized.disconnect();
    themed.disconnect();
  };
}

export default { render };
