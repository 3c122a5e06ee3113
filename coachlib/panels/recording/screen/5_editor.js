// Puts canvas and controls together, and listens to the kernel.

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
