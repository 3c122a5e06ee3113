// Fields of the week's diary rows; the kernel says what may stand in them.

const DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const named = (day) => `${DAYS[new Date(`${day}T12:00`).getDay()]} ${Number(day.slice(8))} ${MONTHS[day.slice(5, 7) - 1]}`;

function node(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "text") made.textContent = value;
    else made.setAttribute(name, value);
  }
  made.append(...children);
  return made;
}

// Cells that the kernel has not answered yet stay with the browser: where its process was killed, the next page
// of the week types them again, if the diary still says there what it said.
class Unanswered {
  constructor(model) {
    this.model = model;
  }

  get key() {
    return `coachlib:diary:${this.model.get("grid").of}`;
  }

  read() {
    return JSON.parse(sessionStorage.getItem(this.key) ?? "[]");
  }

  type(number, column, text) {
    const { day, what, cells } = this.model.get("grid").rows[number];
    sessionStorage.setItem(this.key, JSON.stringify([...this.read(), { day, what, column, text, was: cells[column] ?? "" }]));
    this.model.send({ row: number, column, text });
  }

  answered() {
    sessionStorage.removeItem(this.key);
  }

  resume() {
    const left = this.read();
    this.answered();
    for (const { day, what, column, text, was } of left) {
      const number = this.model.get("grid").rows.findIndex((row) => row.day === day && row.what === what);
      if (number >= 0 && (this.model.get("grid").rows[number].cells[column] ?? "") === was) this.type(number, column, text);
    }
  }
}

function field(column, row, number, type) {
  const label = `${column.name}, ${named(row.day)} ${row.what}`.trim();
  const text = row.cells[column.key] ?? "";
  let made;
  if (column.choices.length) {
    const words = ["", ...column.choices];
    if (!words.includes(text)) words.push(text);
    made = node("select", { "aria-label": label }, ...words.map((word) => node("option", { text: word })));
    made.value = text;
  } else {
    made = node("input", { type: "text", "aria-label": label, autocomplete: "off" });
    if (["rpe", "sleep_h"].includes(column.key)) made.setAttribute("inputmode", "decimal");
    made.value = text;
  }
  made.className = column.key;
  made.dataset.at = `${number} ${column.key}`;
  made.addEventListener("change", () => type(number, column.key, made.value));
  return made;
}

function render({ model, el }) {
  const unanswered = new Unanswered(model);
  const type = (...cell) => unanswered.type(...cell);
  const root = node("div", { class: "coach-diary" });
  el.replaceChildren(root);
  const show = () => {
    const { rows, columns, days, refused } = model.get("grid");
    const had = root.contains(document.activeElement) ? document.activeElement.dataset.at : null;
    const typed = refused && root.querySelector(`[data-at="${refused.row} ${refused.column}"]`)?.value;
    const head = node("tr", {}, node("th", { scope: "col", text: "day" }), ...columns.map((c) => node("th", { scope: "col", text: c.name })));
    const body = rows.map((row, number) => node("tr", {},
      node("th", { scope: "row" }, node("span", { text: named(row.day) }), node("small", { text: row.what })),
      ...columns.map((column) => {
        const made = field(column, row, number, type);
        if (refused && refused.row === number && refused.column === column.key) {
          made.value = typed ?? made.value;
          made.setAttribute("aria-invalid", "true");
        }
        return node("td", { "data-name": column.name }, made);
      })));
    const day = node("select", { "aria-label": "Day to add" }, ...days.map((d) => node("option", { value: d, text: named(d) })));
    const add = node("button", { type: "button", text: "Add a row" });
    add.addEventListener("click", () => model.send({ add: day.value }));
    const table = node("table", {}, node("caption", { text: "The week's diary" }), node("thead", {}, head), node("tbody", {}, ...body));
    root.replaceChildren(...(rows.length ? [table] : [node("p", { text: "The diary has no row for this week, and there is no recording." })]),
      node("div", { class: "adding" }, day, add));
    if (had) root.querySelector(`[data-at="${had}"]`)?.focus({ preventScroll: true });
  };
  const answered = () => {
    unanswered.answered();
    show();
  };
  model.on("change:grid", answered);
  show();
  unanswered.resume();
  return () => model.off("change:grid", answered);
}

export default { render };
