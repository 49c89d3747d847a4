// What every panel needs: building a page, and the line to the kernel. It is put
// in front of each panel's own script.

const SILENT_AFTER = 3000; // ms without an answer before that is said

function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value != null) node.setAttribute(name, value);
  }
  node.append(...children.filter((child) => child != null));
  return node;
}

function fill(node, ...children) {
  node.replaceChildren(...children.filter((child) => child != null));
}

function options(select, choices, chosen) {
  const wanted = JSON.stringify(choices);
  if (select.dataset.choices !== wanted) {
    select.dataset.choices = wanted;
    fill(select, ...choices.map(([value, text]) => make("option", { value }, text)));
  }
  if (document.activeElement !== select || select.value !== chosen) select.value = chosen;
}

// Steps on their way to the kernel, one at a time, kept in the browser until
// they are answered, so that typing into a page whose kernel died is not lost.
class Line {
  constructor(model, tell, keeps = true) {
    this.keeps = keeps;
    this.model = model;
    this.tell = tell;
    this.key = "bouncelab " + model.get("key");
    this.waiting = [];
    this.inFlight = null;
    this.number = 0;
    this.timer = null;
    model.on("msg:custom", (answer) => this.answered(answer));
    this.takeUp();
  }

  takeUp() {
    if (!this.keeps) return;
    let kept = [];
    try {
      kept = JSON.parse(localStorage.getItem(this.key) || "[]");
    } catch {
      kept = [];
    }
    for (const step of kept) this.send(step);
  }

  keep() {
    if (!this.keeps) return;
    const all = [this.inFlight, ...this.waiting].filter(Boolean);
    const steps = all.map((entry) => entry.step).filter((step) => !["undo", "redo", "save"].includes(step.do));
    try {
      if (steps.length) localStorage.setItem(this.key, JSON.stringify(steps));
      else localStorage.removeItem(this.key);
    } catch {
      // A browser that forbids storage still works; only this net is missing.
    }
  }

  send(step) {
    const last = this.waiting.at(-1);
    const same =
      last && step.do === "cell" && last.step.do === "cell" &&
      last.step.row === step.row && last.step.column === step.column;
    if (same) last.step = step;
    else this.waiting.push({ number: ++this.number, step });
    this.keep();
    this.pump();
  }

  pump() {
    if (this.inFlight || !this.waiting.length) return;
    this.inFlight = this.waiting.shift();
    this.keep();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.tell(false), SILENT_AFTER);
    try {
      this.model.send({ number: this.inFlight.number, step: this.inFlight.step });
    } catch {
      this.tell(false);
    }
  }

  answered(answer) {
    if (!this.inFlight || answer.number !== this.inFlight.number) return;
    clearTimeout(this.timer);
    this.inFlight = null;
    this.keep();
    this.tell(true);
    this.pump();
  }

  isPending(row, column) {
    return [this.inFlight, ...this.waiting].some(
      (entry) => entry && entry.step.row === row && entry.step.column === column,
    );
  }

  isPendingField(field) {
    return [this.inFlight, ...this.waiting].some((entry) => entry && entry.step.field === field);
  }
}

// JupyterLab takes many keys for itself; what is typed here stays here.
function shield(node) {
  for (const kind of ["keydown", "keypress", "keyup", "paste", "contextmenu"]) {
    node.addEventListener(kind, (event) => event.stopPropagation());
  }
}
