// What the canvas shows: lanes on one time axis, the window's field and halves, stretches, laps, the pointer.
// `Chart` gives it `lanes`, `span`, `view`, `window`, `drag`, `handles` and where a time lies across.

class Painting {
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
    const aside = this.artefacts();
    const kept = JSON.stringify(aside);
    if (kept !== this.keptAside) this.cache = null;
    this.keptAside = kept;
    this.cache ??= this.lanes.map((lane, k) => ({
      range: rangeOf(lane.values, this.span[0], this.span[1], lane, k ? [] : aside),
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
      if (k === 0) this.paintEdges(g, high, range, top);
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

  // Stretches of heart rate that do not count, or may not.
  artefacts() {
    const left = this.view.exclusions.filter((one) => one.is_heart_rate);
    const open = this.view.suggestions.filter((one) => one.state === "open" && !one.is_information);
    return [...left, ...open].map(({ start_s, stop_s }) => ({ start_s, stop_s }));
  }

  // Where the trace leaves the frame, a mark at its edge says so.
  paintEdges(g, high, range, top) {
    let drawn = -9;
    g.fillStyle = this.ink.warm;
    for (let i = 0; i < high.length; i++) {
      if (!(high[i] > range[1]) || i - drawn < 9 * this.dots) continue;
      drawn = i;
      const x = GUTTER.left + (i + 0.5) / this.dots;
      g.beginPath();
      g.moveTo(x - 4, top + 1);
      g.lineTo(x + 4, top + 1);
      g.lineTo(x, top - 6);
      g.fill();
    }
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
