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

class Cover {
  constructor(el) {
    this.el = el;
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
    const words = document.createElement("span");
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
    this.area.inert = true;
    this.area.style.opacity = "0.35";
    this.area.before(node);
    this.node = node;
    node.querySelector("button")?.focus();
  }

  lift() {
    if (!this.node) return;
    this.node.remove();
    this.node = null;
    this.area.inert = false;
    this.area.style.opacity = "";
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
    let guarding = requestAnimationFrame(function guard() {
      const area = el.closest(".jp-OutputArea"); // a large panel is put on the page some frames later
      if (area) {
        guardKeys(area);
        openFoldsByKey(area);
      } else guarding = requestAnimationFrame(guard);
    });
    const cover = new Cover(el);
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
      forget();
    };
  },
};
