// The screen of the trace editor.  The kernel holds the truth: this file draws what the traits `scene`,
// `trace` and `view` say, and sends small edits back.  Nothing here decides anything about a recording.

const DRAG_PX = 4; // a shorter movement of the pointer is a click
const GRIP_PX = 9; // how near to an edge counts as on it
const SAME_GESTURE_MS = 1000; // key presses that follow each other this fast are undone together
const TWICE_MS = 400; // two clicks within this are a double click
const LEAST_VIEW_S = 30;
const AT_ONCE = 5; // suggestions shown at once, those that matter most
const STEP_S = { ArrowLeft: -10, ArrowDown: -10, ArrowRight: 10, ArrowUp: 10, PageDown: -60, PageUp: 60 };
const EDGES = { start: "Window start", both: "Whole window", stop: "Window end" };
const REASONS = ["talking", "phone call", "strap", "pause", "by hand"];
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

// The axis follows what may count: `aside` are stretches of artefacts, which leave the frame where they are high.
function rangeOf(values, from_s, to_s, lane, aside) {
  const inView = (v, i) => !Number.isNaN(v) && i >= from_s && i <= to_s;
  const all = values.filter(inView).sort();
  if (!all.length) return [0, 1];
  const counted = values.filter((v, i) => inView(v, i) && !aside.some((s) => i >= s.start_s - 5 && i < s.stop_s + 5)).sort();
  const seen = counted.length >= 30 ? counted : all;
  const at = (share) => seen[Math.round(share * (seen.length - 1))];
  const [low, high] = [at(0.004), at(0.998)];
  const pad = Math.max(lane.least_span - (high - low), 0) / 2;
  return [low - pad - 0.06 * (high - low), high + pad + 0.16 * (high - low)];
}

function niceStep(span, most, steps) {
  return steps.find((step) => span / step <= most) ?? steps[steps.length - 1];
}

// A text field whose half-typed words no answer of the kernel wipes out.
function typedField(attributes) {
  const field = element("input", { type: "text", ...attributes });
  let typing = false;
  field.addEventListener("input", () => { typing = true; });
  for (const end of ["change", "blur"]) field.addEventListener(end, () => { typing = false; });
  field.show = (text) => { if (!typing) field.value = text; };
  return field;
}
