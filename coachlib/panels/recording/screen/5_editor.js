// Puts canvas and controls together, and listens to the kernel.

// Edits that the kernel has not answered yet stay with the browser; where they outlive their page (its process
// was killed), the next page sends them again.
class Unanswered {
  constructor(model) {
    this.model = model;
    this.life = `${Date.now()} ${Math.random()}`;
    this.number = 0;
  }

  get key() {
    return `coachlib:edits:${this.model.get("view").subject}`;
  }

  read() {
    try {
      return JSON.parse(sessionStorage.getItem(this.key)) ?? [];
    } catch {
      return [];
    }
  }

  write(entries) {
    try {
      if (entries.length) sessionStorage.setItem(this.key, JSON.stringify(entries));
      else sessionStorage.removeItem(this.key);
    } catch { /* a browser that keeps nothing: the draft on disk is all there is */ }
  }

  send(message) {
    const numbered = { ...message, number: ++this.number };
    if (message.act !== "save" && this.model.get("view").subject)
      this.write([...this.read(), { life: this.life, message: numbered }]);
    this.model.send(numbered);
  }

  answered() {
    const { answered, subject } = this.model.get("view");
    if (subject) this.write(this.read().filter((e) => e.life !== this.life || e.message.number > answered));
  }

  // What an earlier page left: its draft is taken up, then what it had not been answered is done again.
  resume() {
    const asked = sessionStorage.getItem("coachlib:resume");
    const left = this.read().filter((e) => e.life !== this.life);
    sessionStorage.removeItem("coachlib:resume");
    this.write(this.read().filter((e) => e.life === this.life));
    if ((asked || left.length) && this.model.get("view").kept?.fits) this.send({ act: "take up" });
    for (const { message } of left) this.send(message);
  }
}

function render({ model, el }) {
  const unanswered = new Unanswered(model);
  const send = (edit, values = {}, gesture = null) => unanswered.send({ edit, values, gesture });
  const act = (what) => unanswered.send({ act: what });
  const chart = new Chart(model, send);
  const controls = new Controls(model, chart, send, act);
  const { windowNode, leftOutNode, stageNode, detail, findings } = controls;
  const root = element("div.coach-editor", { role: "group", "aria-label": "Trace editor" },
    controls.kept, controls.head(), controls.toolbar(), chart.node, chart.readout, detail, findings,
    element("div.parts", {}, windowNode, leftOutNode, stageNode));
  const onKey = (event) => {
    const key = event.key.toLowerCase();
    if (!(event.ctrlKey || event.metaKey) || !["z", "s"].includes(key)) return;
    if (key === "z" && event.target.type === "text") return;
    event.preventDefault();
    event.stopPropagation();
    if (key === "z") act(event.shiftKey ? "redo" : "undo");
    else if (!controls.buttons.save.disabled) {
      document.activeElement?.blur?.(); // what is half typed counts
      act("save");
    }
  };
  // at the desk the page is the editor; in JupyterLab its keys are its own only inside it
  const listens = document.body.classList.contains("desk") ? document : root;
  listens.addEventListener("keydown", onKey);
  el.replaceChildren(root);

  const showView = () => {
    unanswered.answered();
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
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const redraw = () => chart.draw();
  dark.addEventListener("change", redraw);
  themed.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light", "data-jp-theme-name"] });
  showScene();
  showView();
  unanswered.resume();
  return () => {
    listens.removeEventListener("keydown", onKey);
    model.off("change:trace", showScene);
    model.off("change:scene", showScene);
    model.off("change:view", showView);
    model.off("msg:custom", onMessage);
    resized.disconnect();
    themed.disconnect();
    dark.removeEventListener("change", redraw);
  };
}

export default { render };
