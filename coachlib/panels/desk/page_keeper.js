// Keys, address and the cover of one panel; nothing here knows what the panel shows.

const PATIENCE_MS = 4000; // a connection that is not back by then is said to be lost
const GONE = new Set(["restarting", "autorestarting", "dead", "terminating"]);

// JupyterLab acts on plain keys pressed in an output: `d d` would delete the cell.
function guardKeys(node) {
  if (!node || node.dataset.keysStayHere) return;
  node.dataset.keysStayHere = "yes";
  node.addEventListener("keydown", (event) => {
    if (!event.ctrlKey && !event.metaKey && !event.altKey) event.stopPropagation();
  });
}

// A ready-made fold opens by mouse alone: its line is made a button that says whether it is open.
function openFoldsByKey(area) {
  if (!area || area.dataset.foldsByKey) return;
  area.dataset.foldsByKey = "yes";
  const lineOf = (node) => node.closest?.(".jupyter-widget-Collapse-header");
  const name = () => {
    for (const line of area.querySelectorAll(".jupyter-widget-Collapse-header")) {
      const open = String(line.parentElement.classList.contains("jupyter-widget-Collapse-open"));
      if (line.getAttribute("aria-expanded") === open) continue;
      line.tabIndex = 0;
      line.setAttribute("role", "button");
      line.setAttribute("aria-expanded", open);
    }
  };
  area.addEventListener("keydown", (event) => {
    if (!["Enter", " "].includes(event.key) || lineOf(event.target) !== event.target) return;
    event.preventDefault();
    event.target.click();
  });
  new MutationObserver(name).observe(area, { subtree: true, childList: true, attributeFilter: ["class"] });
  name();
}

// The address and the line of places say what is on the page, so that reload, back and the next place agree.
function follow(subject) {
  if (!document.body.classList.contains("desk")) return;
  const here = new URLSearchParams(location.search);
  if ("recording" in subject === false && here.get("athlete") !== subject.athlete) here.delete("recording");
  for (const [name, value] of Object.entries(subject)) here.set(name, value);
  const query = here.toString().replaceAll("+", "%20");
  history.replaceState(history.state, "", `${location.pathname}?${query}`);
  for (const link of document.querySelectorAll(".places a[data-place], .behind a"))
    link.href = `${link.pathname}?${query}`;
  const place = document.querySelector(".places a[aria-current]")?.textContent ?? "";
  document.title = `${[...here.values()].join(", ")}: ${place}`;
}

// Words typed and not kept yet (their process was killed, the page was left) wait for the next page of the subject.
class Typed {
  constructor(model) {
    this.model = model;
  }

  get names() {
    return Object.keys(this.model.get("kept"));
  }

  key(name) {
    return `coachlib:typed:${name}:${JSON.stringify(this.model.get("subject"))}`;
  }

  kept(name) {
    return this.model.get("kept")[name].replaceAll("\r\n", "\n");
  }

  field(name) {
    return document.querySelector(`.coach-kept-${name} textarea`);
  }

  get isThere() {
    return this.names.every((name) => this.field(name));
  }

  store() {
    for (const name of this.names) {
      const [was, now] = [this.kept(name), this.field(name)?.value ?? this.kept(name)];
      if (was !== now) sessionStorage.setItem(this.key(name), JSON.stringify({ was, now }));
    }
  }

  bring() {
    for (const name of this.names) {
      const left = JSON.parse(sessionStorage.getItem(this.key(name)) ?? "null");
      sessionStorage.removeItem(this.key(name));
      if (!left || left.now === this.kept(name)) continue;
      if (left.was === this.kept(name)) this.put(name, left.now);
      else this.tell(name, left.now);
    }
  }

  put(name, text) {
    const field = this.field(name);
    field.value = text;
    for (const event of ["input", "change"]) field.dispatchEvent(new Event(event, { bubbles: true }));
  }

  tell(name, text) {
    const words = document.createElement("p");
    words.textContent = "You typed this and it could not be kept: the file was changed elsewhere meanwhile. Copy what you need.";
    const typed = document.createElement("pre");
    typed.textContent = text;
    const told = document.createElement("div");
    told.setAttribute("role", "status");
    told.append(words, typed);
    this.field(name).closest(".coach-kept-" + name).before(told);
  }
}

class Cover {
  constructor(el, typed) {
    this.el = el;
    this.typed = typed;
    this.atDesk = document.body.classList.contains("desk");
  }

  get area() {
    return this.atDesk ? document.querySelector("main") : this.el.closest(".jp-OutputArea");
  }

  show(sentence) {
    if (this.node || !this.area) return;
    const node = document.createElement("div");
    node.className = "coach-cover";
    node.setAttribute("role", "alertdialog");
    node.setAttribute("aria-label", "Connection lost");
    node.style.cssText = "position:sticky;top:0;z-index:50;padding:14px 18px;background:#fdfcf9;color:#1d1b18;" +
      "border-left:4px solid #b0440f;box-shadow:0 2px 14px rgb(0 0 0 / .25);font:17px/1.45 Charter,Georgia,serif;" +
      "display:flex;flex-wrap:wrap;gap:8px 18px;align-items:center";
    const words = document.createElement(this.atDesk ? "h1" : "span"); // the page's own is out of reach meanwhile
    words.style.cssText = "font:inherit;margin:0";
    words.textContent = this.atDesk ? sentence : `${sentence} Choose Run → Run All Cells to go on.`;
    node.append(words);
    if (this.atDesk) {
      const on = document.createElement("button");
      on.type = "button";
      on.textContent = "Open the page again";
      on.style.cssText = "font:inherit;font-size:15px;padding:5px 14px;color:#fdfcf9;background:#0f5e63;border:0;border-radius:3px;cursor:pointer";
      on.addEventListener("click", () => {
        sessionStorage.setItem("coachlib:resume", "yes");
        location.reload();
      });
      node.append(on);
    }
    document.activeElement?.blur?.(); // what is half typed counts
    this.typed.store();
    this.covered = this.atDesk ? [...this.area.children] : [this.area];
    this.cover(true);
    if (this.atDesk) this.area.prepend(node);
    else this.area.before(node);
    this.node = node;
    node.querySelector("button")?.focus();
  }

  lift() {
    if (!this.node) return;
    this.node.remove();
    this.node = null;
    this.cover(false);
  }

  cover(isGone) {
    for (const part of this.covered) {
      part.inert = isGone;
      part.style.opacity = isGone ? "0.35" : "";
    }
  }
}

function watch(kernel, cover) {
  if (!kernel) return () => {};
  let waiting = null;
  let over = false;
  const status = (_, now) => {
    if (over || !GONE.has(now)) return;
    over = true; // a process that is started anew knows nothing of this page
    cover.show("The process behind this page has ended. What you did is kept.");
  };
  const connection = (_, now) => {
    clearTimeout(waiting);
    if (over) return;
    if (now === "connected") cover.lift();
    else waiting = setTimeout(() => cover.show("The desk does not answer: it was stopped, or it has put this page away. What you did is kept."), PATIENCE_MS);
  };
  kernel.statusChanged.connect(status);
  kernel.connectionStatusChanged.connect(connection);
  return () => {
    clearTimeout(waiting);
    kernel.statusChanged.disconnect(status);
    kernel.connectionStatusChanged.disconnect(connection);
  };
}

export default {
  render({ model, el }) {
    const typed = new Typed(model);
    let guarding = requestAnimationFrame(function guard() {
      const area = el.closest(".jp-OutputArea, main"); // a large panel is put on the page some frames later
      if (area) {
        guardKeys(area);
        openFoldsByKey(area);
      }
      if (area && typed.isThere) typed.bring();
      else guarding = requestAnimationFrame(guard);
    });
    const cover = new Cover(el, typed);
    const leave = () => typed.store();
    addEventListener("pagehide", leave);
    const followed = () => follow(model.get("subject"));
    model.on("change:subject", followed);
    followed();
    const go = (message) => {
      if (message.go?.startsWith("/") && cover.atDesk) location.assign(message.go);
    };
    model.on("msg:custom", go);
    const forget = watch(model.widget_manager?.kernel, cover);
    return () => {
      cancelAnimationFrame(guarding);
      model.off("change:subject", followed);
      model.off("msg:custom", go);
      removeEventListener("pagehide", leave);
      forget();
    };
  },
};
