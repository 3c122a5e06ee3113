// Everything around the canvas: buttons, sentence, lists, fields that can be typed or slid.

// A time that can be typed or slid; `done` gets the text.
function timeField(label, done) {
  const text = typedField({ class: "time", "aria-label": label, spellcheck: "false", autocomplete: "off" });
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
    text.show(clock(seconds));
  };
  return { node: element("label.field", {}, element("span", { text: label }), text, slider), show, text, slider };
}

class Controls {
  constructor(model, chart, send, act) {
    Object.assign(this, { model, chart, send, act });
    this.sentence = element("p.sentence", { "aria-live": "polite" });
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
      save: button("Save decisions", () => act("save"), { class: "primary", title: "Ctrl+S" }),
    };
    this.keptWords = element("span");
    this.keptTake = button("Take them up", () => act("take up"), { class: "primary" });
    this.kept = element("div.kept", { role: "region", "aria-label": "Changes that were not saved", hidden: "" },
      this.keptWords, this.keptTake, button("Drop them", () => act("drop")));
    chart.onDrag = (window) => (window ? this.showWindow(window) : this.show());
    chart.onLive = (live) => {
      this.sentence.textContent = live.sentence;
    };
    this.windowPart();
    this.leftOutPart();
    this.stagePart();
  }

  toolbar() {
    const { undo, redo, reset } = this.buttons;
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
      reset,
    );
  }

  // What it says, and beside it what is not saved and the button that saves.
  head() {
    const { again, save } = this.buttons;
    return element("div.head", {}, this.sentence,
      element("div.saving", {}, element("div.ends", {}, save, again), this.status, this.changes));
  }

  showKept(kept) {
    this.kept.hidden = !kept;
    if (!kept) return;
    this.keptWords.textContent = [kept.sentence, ...kept.changes].join(" ");
    this.keptTake.hidden = !kept.fits;
  }

  windowPart() {
    const type = (edge) => (text) => this.send("type_window", { edge, text });
    this.start = timeField("Start", type("start"));
    this.stop = timeField("End", type("stop"));
    this.laps = element("ul.rows.laps", { "aria-label": "Laps" });
    this.lapsHead = element("h3", { text: "Laps pressed on the watch" });
    this.windowNode = element("section", {}, element("h2", { text: "Window" }), this.start.node, this.stop.node,
      this.lapsHead, this.laps);
  }

  leftOutPart() {
    this.suggestions = element("ul.rows.suggestions", { "aria-label": "Suggested stretches" });
    this.fewer = element("ul.rows.suggestions", { "aria-label": "Further suggested stretches" });
    this.fewerHead = element("summary");
    this.fewerFold = element("details", {}, this.fewerHead, this.fewer);
    this.exclusions = element("ul.rows.exclusions", { "aria-label": "Left out by hand" });
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
    this.leftOutNode = element("section", {}, element("h2", { text: "Left out" }), this.suggestions, this.fewerFold, this.exclusions,
      element("h3", { text: "Leave out another stretch" }),
      element("label.check", {}, draw, element("span", { text: "Draw it on the trace (or hold Shift and drag)" })),
      this.from.node, this.to.node,
      element("div.field", {}, element("span", { text: "Reason" }), this.reason, add));
  }

  stagePart() {
    this.stages = element("tbody");
    const head = ["From", "To", "", "%", "W", "mmol/l", ""].map((text) => element("th", { text, scope: "col" }));
    this.speedHead = head[2];
    this.stageTable = element("table", {}, element("thead", {}, element("tr", {}, ...head)), this.stages);
    this.stageNode = element("section", {}, element("h2", { text: "Settings of the treadmill or ergometer" }),
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
    const [first, ...more] = view.changes;
    const said = first ? [`Not saved: ${first}`, ...(more.length > 1 ? [more[0], `and ${more.length - 1} more.`] : more)] : ["All is saved."];
    this.changes.replaceChildren(...said.map((text) => element("li", { text })));
    this.changes.title = view.changes.join("\n");
    this.showKept(view.kept);
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
        { suggestion: k }), { "aria-label": `no: ${s.reason} ${when} counts` });
      const see = button("see", () => this.chart.look(s.start_s - 90, s.stop_s + 90), { "aria-label": `Zoom to ${when}` });
      const row = element("li", {}, element("label.check", {}, box, element("span.when", { text: when }),
        element("span.what", { text: s.is_information ? `${s.reason}, for information` : s.reason })), effect, see, no);
      return { row, box, effect, no };
    });
    this.order = null;
  }

  // The few that matter most stand in sight; the others wait behind a line that counts them.
  orderSuggestions(view) {
    const weight = (s) => s.effect === "outside" ? -1 : Math.abs(parseFloat(s.effect.replace("\u2212", "-"))) || 0;
    const order = view.suggestions.map((s, k) => k).sort((a, b) => weight(view.suggestions[b]) - weight(view.suggestions[a]) || a - b);
    const seen = order.filter((k) => weight(view.suggestions[k]) >= 0 && !view.suggestions[k].is_information).slice(0, AT_ONCE);
    const rest = order.filter((k) => !seen.includes(k)).sort((a, b) => a - b);
    const key = JSON.stringify([seen, rest]);
    if (key === this.order) return;
    this.order = key;
    const rows = (numbers) => numbers.map((k) => this.suggestionRows[k].row);
    const none = view.suggestions.length ? "Nothing in the window looks like an artefact." : "Nothing in the heart rate looks like an artefact.";
    this.suggestions.replaceChildren(...(seen.length ? rows(seen) : [element("li.none", { text: none })]));
    this.fewer.replaceChildren(...rows(rest));
    this.fewerFold.hidden = !rest.length;
    const outside = rest.every((k) => weight(view.suggestions[k]) < 0);
    this.fewerHead.textContent = `${rest.length} more${outside ? " outside the window" : ""}`;
  }

  showSuggestions(view) {
    this.orderSuggestions(view);
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
    const unit = this.model.get("scene").speed_unit ?? "km/h";
    this.speedHead.textContent = unit;
    const names = ["start_s", "stop_s", "speed_mps", "grade", "power_w", "lactate_mmol_l"];
    this.stageTable.hidden = !view.stages.length;
    while (this.stages.rows.length > view.stages.length) this.stages.deleteRow(-1);
    while (this.stages.rows.length < view.stages.length) {
      const k = this.stages.rows.length;
      const cells = names.map((name, c) => {
        const input = typedField({ inputmode: c > 1 ? "decimal" : undefined,
          "aria-label": `Stage ${k + 1}: ${["from", "to", `speed in ${unit}`, "grade in per cent", "power in watts", "lactate in mmol/l"][c]}` });
        input.addEventListener("change", () => this.send("type_stage", { stage: k, name, text: input.value }));
        return element("td", {}, input);
      });
      const gone = button("×", () => this.send("remove_stage", { stage: k }), { class: "link", "aria-label": `Remove stage ${k + 1}` });
      this.stages.append(element("tr", {}, ...cells, element("td", {}, gone)));
    }
    view.stages.forEach((texts, k) => texts.forEach((text, c) => {
      this.stages.rows[k].cells[c].firstChild.show(text);
    }));
  }
}
