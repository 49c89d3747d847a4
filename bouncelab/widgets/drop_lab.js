// The sheet that a group types into, and what comes of it.
//
// The kernel holds the truth: each keystroke goes there as a step, and the state
// that comes back is drawn. Nothing is computed here but where things stand.

const SIGN = { unreadable: "✕", impossible: "✕", doubtful: "?" };
const WORD = {
  unreadable: "Left out",
  impossible: "Left out",
  doubtful: "Look again",
};

class Table {
  constructor(model, el) {
    this.model = model;
    this.columns = model.get("columns");
    this.rows = [];
    this.silent = false;
    this.line = new Line(model, (alive) => this.heard(alive));
    this.build(el);
    this.listener = () => this.draw();
    model.on("change:state", this.listener);
    this.draw();
  }

  build(el) {
    this.saved = make("p", { class: "bl-saved", role: "status" });
    this.refused = make("p", { class: "bl-refused", role: "alert", hidden: true });
    this.head = make("tr");
    this.heads = {};
    this.head.append(make("th", { scope: "col" }, "row"));
    for (const column of this.columns) {
      const label = make("span", {}, column.label);
      const head = make("th", { scope: "col", class: "bl-" + column.name }, label);
      if (column.units.length) {
        const unit = make("select", {
          "aria-label": `unit of a bare number under ${column.heading}`,
          onchange: () => this.line.send({ do: "unit", column: column.name, unit: unit.value }),
        });
        head.append(" ", unit);
        this.heads[column.name] = unit;
      }
      this.head.append(head);
    }
    this.head.append(make("th", { scope: "col" }, "use it?"));
    this.body = make("tbody");
    this.undo = make("button", { type: "button", onclick: () => this.line.send({ do: "undo" }) }, "↶ Undo");
    this.redo = make("button", { type: "button", onclick: () => this.line.send({ do: "redo" }) }, "↷ Redo");
    this.add = make("button", { type: "button", onclick: () => this.goTo(this.rows.length, "rebound_height") }, "+ Add a row");
    const save = make("button", { type: "button", onclick: () => this.line.send({ do: "save" }) }, "Save a class file (CSV)");
    this.fields = {};
    const group = this.field("group", "Our group's name", "text");
    const drop = this.field("drop_point", "At the drop we read the", "select");
    const rebound = this.field("rebound_point", "At the rebound we read the", "select");
    const range = this.field("range", "Compare with the range", "select");
    range.classList.add("bl-wide");
    this.rule = make("p", { class: "bl-wide bl-rule", id: this.uid() + "-rule" });
    this.fields.range.setAttribute("aria-describedby", this.rule.id);
    const length = this.field("show_length", "Show lengths in", "select");
    const pressure = this.field("show_pressure", "Show pressures in", "select");
    this.drawing = make("figure", { class: "bl-points" });
    const setup = make("div", { class: "bl-setup" },
      make("div", { class: "bl-fields" }, group, drop, rebound, range, this.rule, length, pressure), this.drawing);
    const scroll = make("div", { class: "bl-scroll", tabindex: "-1" },
      make("table", { class: "bl-sheet" },
        make("caption", {}, make("span", {}, "Our drops. Enter goes down, Tab goes right, Escape leaves the table; you can paste from a spreadsheet.")),
        make("thead", {}, this.head), this.body));
    this.results = make("section", { class: "bl-results", "aria-label": "What our drops say" });
    this.live = make("p", { class: "bl-hidden", role: "status" });
    this.strip = make("img", { alt: "", hidden: true });
    this.stripWords = make("figcaption");
    const buttons = make("div", { class: "bl-buttons" }, this.add, this.undo, this.redo, save);
    this.root = make("div", { class: "bl-lab" }, setup, this.refused, scroll, buttons, this.saved,
      this.results, make("figure", { class: "bl-strip" }, this.strip, this.stripWords), this.live);
    shield(this.root);
    this.root.addEventListener("keydown", (event) => this.key(event));
    this.pictureListener = () => this.drawStrip();
    this.model.on("change:picture", this.pictureListener);
    this.drawStrip();
    el.append(this.root);
  }

  field(name, text, kind) {
    const control = kind === "select" ? make("select") : make("input", { type: "text", maxlength: "60", autocomplete: "off" });
    control.addEventListener(kind === "select" ? "change" : "input", () =>
      this.line.send({ do: "setup", field: name, text: control.value }));
    this.fields[name] = control;
    return make("label", {}, make("span", {}, text), control);
  }

  heard(alive) {
    this.silent = !alive;
    if (alive) this.draw(); // what waited for its answer may be drawn now
    else this.drawSaved();
  }

  key(event) {
    const command = event.ctrlKey || event.metaKey;
    const letter = event.key.toLowerCase();
    if (command && (letter === "z" || letter === "y")) {
      event.preventDefault();
      this.line.send({ do: letter === "y" || event.shiftKey ? "redo" : "undo" });
      return;
    }
    const cell = event.target.closest("input[data-row]");
    if (!cell || event.isComposing) return;
    if (event.key === "Escape") return this.add.focus();
    const row = Number(cell.dataset.row);
    const moves = { Enter: event.shiftKey ? -1 : 1, ArrowDown: 1, ArrowUp: -1 };
    const move = moves[event.key];
    if (move === undefined) return;
    event.preventDefault();
    if (event.key === "ArrowDown" && row + 1 >= this.rows.length) return;
    if (row + move >= 0) this.goTo(row + move, cell.dataset.column);
  }

  goTo(row, column) {
    if (row >= this.rows.length) {
      this.addRow();
      this.line.send({ do: "add", count: 1 });
    }
    const input = this.rows[row].inputs[column];
    input.focus();
    input.select();
  }

  addRow() {
    const row = this.rows.length;
    const inputs = {};
    const number = make("th", { scope: "row" }, String(row + 1));
    const line = make("tr", {}, number);
    for (const column of this.columns) {
      const input = make("input", {
        type: "text", autocomplete: "off", spellcheck: "false", maxlength: "500",
        "data-row": row, "data-column": column.name,
        "aria-label": `row ${row + 1}, ${column.heading}`,
        oninput: () => this.line.send({ do: "cell", row, column: column.name, text: input.value }),
        onpaste: (event) => this.paste(event, row, column.name),
      });
      inputs[column.name] = input;
      line.append(make("td", { class: "bl-" + column.name }, input));
    }
    const use = make("button", { type: "button", onclick: () => this.line.send({ do: "aside", row }) }, "Set aside");
    line.append(make("td", { class: "bl-use" }, use));
    const words = make("td", { colspan: this.columns.length + 1, id: `${this.uid()}-${row}` });
    const message = make("tr", { class: "bl-message", hidden: true }, make("td"), words);
    this.body.append(line, message);
    this.rows.push({ line, inputs, use, message, words });
  }

  uid() {
    this.id ??= "bl" + Math.random().toString(36).slice(2, 9);
    return this.id;
  }

  paste(event, row, column) {
    const text = event.clipboardData.getData("text/plain");
    if (!/[\t\n\r]/.test(text.replace(/[\r\n]+$/, ""))) return; // one cell: as typed
    event.preventDefault();
    this.line.send({ do: "paste", row, column, text });
  }

  draw() {
    const state = this.model.get("state");
    const { sheet } = state;
    while (this.rows.length < sheet.rows.length) this.addRow();
    if (!this.line.inFlight && !this.line.waiting.length) {
      while (this.rows.length > sheet.rows.length) {
        const gone = this.rows.pop();
        gone.line.remove();
        gone.message.remove();
      }
    }
    for (const [name, select] of Object.entries(this.heads)) {
      const units = this.columns.find((column) => column.name === name).units;
      options(select, units.map((unit) => [unit, unit]), sheet.units[name]);
    }
    const byRow = new Map();
    for (const finding of state.findings) {
      if (!byRow.has(finding.row)) byRow.set(finding.row, []);
      byRow.get(finding.row).push(finding);
    }
    sheet.rows.forEach((cells, row) => this.drawRow(row, cells, sheet.aside[row], byRow.get(row + 1) || []));
    for (const [name, control] of Object.entries(this.fields)) {
      if (control.tagName === "SELECT") options(control, state.choices[name], sheet.setup[name]);
      else if (control.value !== sheet.setup[name] && !this.line.isPendingField(name)) control.value = sheet.setup[name];
    }
    this.rule.textContent = state.rule;
    this.rule.hidden = !state.rule;
    this.undo.disabled = !state.can_undo;
    this.redo.disabled = !state.can_redo;
    this.refused.hidden = !state.refused;
    this.refused.textContent = state.refused;
    this.drawSaved();
    this.drawResults(state);
    this.drawPoints(state.points);
  }

  drawRow(row, cells, aside, findings) {
    const { line, inputs, use, message, words } = this.rows[row];
    line.classList.toggle("bl-aside", aside);
    this.columns.forEach((column, place) => {
      const input = inputs[column.name];
      if (input.value !== cells[place] && !this.line.isPending(row, column.name)) input.value = cells[place];
      const found = findings.find((finding) => finding.column === column.name);
      const weight = found ? (found.weight === "doubtful" ? "doubtful" : "out") : "";
      input.parentElement.dataset.weight = weight;
      input.parentElement.dataset.sign = found ? SIGN[found.weight] : "";
      if (found) {
        input.setAttribute("aria-invalid", "true");
        input.setAttribute("aria-describedby", words.id);
      } else {
        input.removeAttribute("aria-invalid");
        input.removeAttribute("aria-describedby");
      }
    });
    use.textContent = aside ? "Use again" : "Set aside";
    use.setAttribute("aria-label", `${use.textContent} row ${row + 1}`);
    message.hidden = !findings.length && !aside;
    message.className = "bl-message" + (findings.some((f) => f.weight !== "doubtful") ? " bl-out" : "");
    const said = findings.map((finding) =>
      make("span", {}, make("b", {}, `${SIGN[finding.weight]} ${WORD[finding.weight]}: `),
        `${finding.heading}${finding.read ? ` “${finding.read}”` : ""}. ${finding.said} `));
    if (aside) said.unshift(make("span", {}, make("b", {}, "– Set aside "), "by you: not used in the results. "));
    const key = JSON.stringify([findings, aside]);
    if (message.dataset.key !== key) {
      message.dataset.key = key;
      fill(words, ...said);
    }
  }

  drawSaved() {
    const { saved, problem, refused } = this.model.get("state");
    const bad = this.silent || problem;
    this.saved.classList.toggle("bl-bad", Boolean(bad));
    const text = this.silent
      ? "✕ Not saved yet: the kernel behind this page does not answer. Your typing is kept in this browser. Choose Run ▸ Restart Kernel and Run All Cells."
      : problem ? "✕ " + problem : saved;
    if (this.saved.textContent !== text) this.saved.textContent = text;
    this.drawNotice(bad ? text : refused);
  }

  // What went wrong also stands below the row in which a person is typing: in a
  // long table nothing else of the sheet is in sight.
  drawNotice(text) {
    this.notice ??= make("tr", { class: "bl-notice" }, make("td"),
      make("td", { colspan: this.columns.length + 1 }, make("span")));
    const cell = document.activeElement?.closest?.("input[data-row]");
    const row = cell && this.root.contains(cell) && this.rows[Number(cell.dataset.row)];
    if (!text || !row) {
      this.notice.remove();
      return;
    }
    this.notice.querySelector("span").textContent = text;
    if (row.message.nextSibling !== this.notice) row.message.after(this.notice);
  }

  drawResults(state) {
    const key = JSON.stringify(state.results);
    if (this.results.dataset.key === key) return;
    this.results.dataset.key = key;
    const { lines, headings, advice, remarks, spoken } = state.results;
    if (!lines.length) {
      fill(this.results, make("p", { class: "bl-advice" }, advice));
      return;
    }
    const table = make("table", { class: "bl-answers" },
      make("caption", {}, "What our drops say", make("span", {}, "Heights are means, of the lowest point of the ball.")),
      make("thead", {}, make("tr", {}, ...headings.map((text) => make("th", { scope: "col" }, text)))),
      ...lines.map((line) => make("tbody", {},
        make("tr", {}, ...line.cells.map((text, place) =>
          make(place ? "td" : "th", place ? {} : { scope: "row" }, text))),
        !line.reason ? null : make("tr", {}, make("td", { class: "bl-verdict", colspan: headings.length, "data-word": line.word },
          make("span", {}, line.verdict ? make("b", {}, line.verdict + " ") : null, line.reason))))));
    fill(this.results, make("div", { class: "bl-scroll" }, table),
      advice ? make("p", { class: "bl-advice" }, advice) : null,
      ...remarks.map((text) => make("p", { class: "bl-remark" }, text)));
    if (this.live.textContent !== spoken) this.live.textContent = spoken;
  }

  drawStrip() {
    const picture = this.model.get("picture");
    this.strip.hidden = !picture.data;
    if (!picture.data) {
      this.stripWords.textContent = "";
      return;
    }
    this.strip.src = picture.data;
    this.strip.width = picture.width;
    this.strip.alt = picture.words;
    this.stripWords.textContent = picture.words;
  }

  drawPoints(points) {
    const key = JSON.stringify(points);
    if (this.drawing.dataset.key === key) return;
    this.drawing.dataset.key = key;
    const svg = (tag, attributes, ...children) => {
      const node = document.createElementNS("http://www.w3.org/2000/svg", tag);
      for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
      node.append(...children);
      return node;
    };
    // y runs down in a drawing: 0 is the top, 100 the floor.
    const height = (fraction) => 100 * (1 - fraction);
    const parts = [svg("line", { x1: 2, x2: 178, y1: 100, y2: 100, class: "bl-floor" })];
    points.balls.forEach((ball, place) => {
      const x = 50 + 80 * place;
      const read = height(ball.read);
      parts.push(
        svg("circle", { cx: x, cy: height(ball.centre), r: 100 * ball.radius, class: "bl-ball" }),
        svg("line", { x1: x - 34, x2: x + 18, y1: read, y2: read, class: "bl-read" }),
        svg("line", { x1: x - 30, x2: x - 30, y1: 100, y2: read, class: "bl-tape" }),
        svg("path", { d: `M${x - 33} ${read + 5} L${x - 30} ${read} L${x - 27} ${read + 5}`, class: "bl-tape" }),
        svg("text", { x: x, y: 113, "text-anchor": "middle" }, ball.label));
    });
    fill(this.drawing,
      svg("svg", { viewBox: "0 -6 180 126", role: "img", "aria-label": points.words }, ...parts),
      make("figcaption", {}, points.words));
  }

  remove() {
    this.model.off("change:state", this.listener);
    this.model.off("change:picture", this.pictureListener);
  }
}
