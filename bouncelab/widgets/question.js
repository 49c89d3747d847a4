// One question with a box or two: a prediction before, an explanation after.
class Question {
  constructor(model, el) {
    this.model = model;
    this.line = new Line(model, (alive) => this.heard(alive));
    this.boxes = {};
    const rows = model.get("questions").map((question) => {
      const box = question.long
        ? make("textarea", { rows: "3", maxlength: "500" })
        : make("input", { type: "text", maxlength: "120", autocomplete: "off", placeholder: question.example });
      box.addEventListener("input", () => this.line.send({ do: "setup", field: question.field, text: box.value }));
      this.boxes[question.field] = box;
      return make("label", {}, make("span", {}, question.text), box);
    });
    this.answer = make("p", { class: "bl-answer", role: "status" });
    const root = make("div", { class: "bl-lab bl-question" }, ...rows, this.answer);
    shield(root);
    el.append(root);
    this.listener = () => this.draw();
    model.on("change:state", this.listener);
    this.draw();
  }

  heard(alive) {
    if (alive) this.draw();
    else this.answer.textContent =
      "✕ Not saved yet: the kernel behind this page does not answer. Choose Run ▸ Restart Kernel and Run All Cells.";
  }

  draw() {
    const state = this.model.get("state");
    for (const [field, box] of Object.entries(this.boxes)) {
      const kept = state.setup[field] ?? "";
      if (box.value !== kept && !this.line.isPendingField(field)) box.value = kept;
    }
    if (this.answer.textContent !== state.answer) this.answer.textContent = state.answer;
    this.answer.classList.toggle("bl-bad", state.bad);
  }

  remove() {
    this.model.off("change:state", this.listener);
  }
}
