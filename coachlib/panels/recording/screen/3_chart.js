// The canvas under the hand: pointer, wheel and keys become edits, or a change of what is looked at.

class Chart extends Painting {
  constructor(model, send) {
    super();
    this.model = model;
    this.send = send;
    this.mode = "window";
    this.reason = () => "by hand";
    this.onDrag = () => {}; // told the window while it is dragged, null when a drag came to nothing
    this.onLive = () => {}; // told what the kernel says about it
    this.canvas = element("canvas", { role: "img", "aria-label": "Trace of the recording", tabindex: "-1" });
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
      if (event.type !== "pointercancel" && drag.what !== "pan") this.click(drag.from.time_s, event.timeStamp);
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

  // A click answers a suggestion; two on a stage or a lap take it as the window.
  click(time_s, at_ms) {
    const number = this.view.suggestions.findIndex((s) => time_s >= s.start_s - 2 && time_s < s.stop_s + 2);
    if (number >= 0) {
      const open = this.view.suggestions[number].state !== "accepted";
      this.send(open ? "accept" : "reopen", { suggestion: number });
      return;
    }
    const twice = this.clicked && at_ms - this.clicked.at_ms < TWICE_MS && Math.abs(time_s - this.clicked.time_s) < 30;
    this.clicked = twice ? null : { at_ms, time_s };
    if (twice) this.send("window_at", { at_s: time_s });
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
}
