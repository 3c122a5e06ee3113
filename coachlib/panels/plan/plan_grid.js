// Fields of a week's planned rows, day by day; the kernel says what may stand in them.

const DAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const weekday = (day) => DAYS[new Date(`${day}T12:00`).getDay()];

function node(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "text") made.textContent = value;
    else made.setAttribute(name, value);
  }
  made.append(...children);
  return made;
}

function chosen(options, value, attributes) {
  const known = options.map(([key]) => key);
  const all = known.includes(value) ? options : [...options, [value, value]];
  const made = node("select", attributes, ...all.map(([key, text]) => node("option", { value: key, text })));
  made.value = value;
  return made;
}

function rowOf(row, number, state, send) {
  const { days, targets, sports, refused } = state;
  const day = row.cells.date;
  const about = `${weekday(day)}, ${row.cells.planned || row.cells.target || "new"}`;
  const commit = (column) => (event) => send({ row: number, column, text: event.target.value });
  const fields = {
    date: chosen(days.map((d) => [d, weekday(d)]), day, { "aria-label": `Day of ${about}` }),
    target: chosen([["", "for …"], ...targets.map((t) => [t, t])], row.cells.target, { "aria-label": `What ${about} is for` }),
    planned_min: node("input", { type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": `Minutes of ${about}` }),
    planned: node("input", { type: "text", autocomplete: "off", "aria-label": `Words for ${about}` }),
  };
  fields.planned_min.value = row.cells.planned_min;
  fields.planned.value = row.cells.planned;
  if (sports.length > 1)
    fields.sport = chosen([["", "sport …"], ...sports.map((s) => [s, s])], row.cells.sport, { "aria-label": `Sport of ${about}` });
  fields.date.disabled = row.is_told;
  for (const [column, field] of Object.entries(fields)) {
    field.className = column;
    field.dataset.at = `${number} ${column}`;
    field.addEventListener("change", commit(column));
    if (refused && refused.row === number && refused.column === column) field.setAttribute("aria-invalid", "true");
  }
  const off = node("button", { type: "button", class: "off", "aria-label": `Take out ${about}`, title: "Take out", text: "×" });
  off.addEventListener("click", () => send({ remove: number }));
  const { planned_min, ...others } = fields;
  const minutes = node("label", { class: "minutes" }, planned_min, node("span", { text: "min" }));
  const item = node("li", {}, others.date, others.target, minutes, others.planned, ...(others.sport ? [others.sport] : []), off,
    node("small", { text: row.note }));
  item.addEventListener("keydown", (event) => {
    const by = { ArrowUp: -1, ArrowDown: 1 }[event.key];
    if (!event.altKey || !by || row.is_told) return;
    event.preventDefault();
    const to = days[days.indexOf(day) + by];
    if (to) send({ row: number, column: "date", text: to });
  });
  return item;
}

function render({ model, el }) {
  const root = node("div", { class: "coach-plan" });
  el.replaceChildren(root);
  let follow = null;
  const send = (message) => {
    const row = model.get("grid").rows[message.row];
    if (message.column === "date" && row) follow = { ...row.cells, date: message.text };
    model.send(message);
  };
  const show = () => {
    const state = model.get("grid");
    const had = root.contains(document.activeElement) ? document.activeElement.dataset.at : null;
    const typed = state.refused && root.querySelector(`[data-at="${state.refused.row} ${state.refused.column}"]`)?.value;
    const parts = state.days.map((day) => {
      const add = node("button", { type: "button", class: "add", "aria-label": `Plan something on ${weekday(day)}`, text: "+" });
      add.addEventListener("click", () => model.send({ add: day }));
      const rows = state.rows.map((row, number) => [row, number]).filter(([row]) => row.cells.date === day);
      return node("section", rows.length ? {} : { class: "free" },
        node("h2", {}, node("span", { text: weekday(day) }), node("span", { class: "date", text: ` ${Number(day.slice(8))}.${Number(day.slice(5, 7))}.` }), add),
        node("ol", {}, ...rows.map(([row, number]) => rowOf(row, number, state, send))));
    });
    root.replaceChildren(...parts);
    if (state.refused && typed !== undefined && typed !== null) {
      const field = root.querySelector(`[data-at="${state.refused.row} ${state.refused.column}"]`);
      if (field) field.value = typed;
    }
    let at = had;
    if (follow && had) {
      // the focus goes with a row that moved
      const number = state.rows.findIndex((row) => ["date", "target", "planned", "planned_min"].every((c) => row.cells[c] === follow[c]));
      if (number >= 0) at = `${number} ${had.split(" ")[1]}`;
      follow = null;
    }
    if (at) root.querySelector(`[data-at="${at}"]`)?.focus({ preventScroll: true });
  };
  model.on("change:grid", show);
  show();
  return () => model.off("change:grid", show);
}

export default { render };
