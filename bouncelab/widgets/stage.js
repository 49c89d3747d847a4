// A stage: something to move, a drawing that plays, and the numbers beside it.
//
// Each frame was computed by the library; here it is only put on the screen.

const SVG = "http://www.w3.org/2000/svg";

function shape(tag, attributes, text) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  if (text) node.textContent = text;
  return node;
}

class Stage {
  constructor(model, el) {
    this.model = model;
    this.frame = 0;
    this.playing = false;
    this.calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.line = new Line(model, (alive) => this.heard(alive), false);
    this.build(el);
    this.sceneListener = () => this.newScene();
    this.pictureListener = () => this.drawPicture();
    this.controlsListener = () => this.offer();
    this.atListener = () => this.follow();
    model.on("change:controls", this.controlsListener);
    model.on("change:at", this.atListener);
    model.on("change:scene", this.sceneListener);
    model.on("change:picture", this.pictureListener);
    this.newScene();
    this.drawPicture();
  }

  build(el) {
    this.controls = make("div", { class: "bl-controls" });
    this.offer();
    this.svg = shape("svg", { role: "img", class: "bl-scene" });
    this.words = make("figcaption");
    this.note = make("p", { class: "bl-remark" });
    this.play = make("button", { type: "button", onclick: () => this.toggle() }, "▶ Play");
    this.back = make("button", { type: "button", "aria-label": "one step back", onclick: () => this.step(-1) }, "◀ Step");
    this.forth = make("button", { type: "button", "aria-label": "one step on", onclick: () => this.step(1) }, "Step ▶");
    this.pace = make("select", { "aria-label": "how fast it plays" },
      ...[["1", "normal"], ["0.5", "half as fast"], ["0.2", "five times slower"]].map(([value, text]) => make("option", { value }, text)));
    this.moment = make("input", { type: "range", min: "0", step: "1", value: "0", oninput: () => this.show(Number(this.moment.value), true) });
    this.clock = make("output");
    const player = make("div", { class: "bl-player" }, this.play, this.back, this.forth, this.pace,
      make("label", { class: "bl-moment" }, make("span", {}, "moment "), this.moment, this.clock));
    this.table = make("tbody");
    this.caption = make("caption");
    this.readings = make("table", { class: "bl-readings" },
      this.caption,
      make("thead", { class: "bl-hidden" }, make("tr", {}, make("th", { scope: "col" }, "what"), make("th", { scope: "col" }, "value"))),
      this.table);
    this.told = make("p", { class: "bl-told", role: "status" });
    this.bad = make("p", { class: "bl-bad", role: "alert", hidden: true });
    this.image = make("img", { alt: "", hidden: true });
    this.imageWords = make("figcaption");
    this.drawing = make("figure", { class: "bl-drawing" }, this.svg, player, this.words);
    this.root = make("div", { class: "bl-lab bl-stage" },
      this.controls, this.bad,
      make("div", { class: "bl-show" },
        this.drawing, this.readings),
      this.told, this.note,
      make("figure", { class: "bl-plot" }, this.image, this.imageWords));
    this.player = player;
    shield(this.root);
    el.append(this.root);
  }

  offer() {
    this.inputs = {};
    fill(this.controls, ...this.model.get("controls").map((control) => this.control(control)));
  }

  control(control) {
    const name = control.name;
    let input;
    const shown = make("output");
    if (control.kind === "choice") {
      input = make("select", {}, ...control.options.map(([value, text]) => make("option", { value }, text)));
    } else {
      input = make("input", { type: "range", min: control.least, max: control.most, step: control.step });
    }
    input.value = control.value;
    const tell = () => {
      if (control.kind === "choice") return;
      const text = `${Number(input.value).toFixed(control.digits)} ${control.unit}`.replace("-", "−");
      shown.textContent = text;
      input.setAttribute("aria-valuetext", text);
    };
    input.addEventListener(control.kind === "choice" ? "change" : "input", () => {
      tell();
      this.line.send({ do: "cell", row: 0, column: name, name, value: input.value });
    });
    tell();
    this.inputs[name] = { input, tell };
    return make("label", {}, make("span", {}, control.label), input, shown);
  }

  // Controls stand where the kernel says, but for the one in use.
  follow() {
    for (const [name, value] of Object.entries(this.model.get("at"))) {
      const control = this.inputs[name];
      if (!control || control.input.value === String(value)) continue;
      if (control.input === document.activeElement) continue;
      control.input.value = value;
      control.tell();
    }
  }

  heard(alive) {
    this.bad.hidden = alive;
    this.bad.textContent = alive ? ""
      : "✕ The kernel behind this page does not answer. Choose Run ▸ Restart Kernel and Run All Cells.";
  }

  newScene() {
    const scene = this.model.get("scene");
    this.scene = scene;
    this.drawing.hidden = !scene.shapes.length;
    this.svg.setAttribute("viewBox", scene.view.join(" "));
    this.svg.setAttribute("aria-label", scene.words);
    this.words.textContent = scene.words;
    this.note.textContent = scene.note;
    this.told.textContent = scene.told;
    // Who has chosen a moment compares it as the controls move.
    const stays = this.playing || (this.chosen && this.count === scene.times.length);
    this.count = scene.times.length;
    this.moment.max = this.count - 1;
    this.player.hidden = this.count < 2;
    const kinds = JSON.stringify(scene.shapes.map((each) => each.tag));
    if (this.kinds !== kinds) {
      this.kinds = kinds;
      this.nodes = scene.shapes.map((each) => shape(each.tag, {}, each.text));
      fill(this.svg, ...this.nodes);
    }
    scene.shapes.forEach((each, place) => {
      const node = this.nodes[place];
      for (const [name, value] of Object.entries(each.fixed)) node.setAttribute(name, value);
      if (each.text !== undefined && node.textContent !== each.text) node.textContent = each.text;
    });
    this.readings.hidden = !scene.readings.length;
    this.caption.textContent = this.count > 1 ? "Numbers at this moment" : "Numbers";
    const labels = JSON.stringify(scene.readings.map((each) => each.label));
    if (this.labels !== labels) {
      this.labels = labels;
      this.cells = scene.readings.map(() => make("td"));
      fill(this.table, ...scene.readings.map((each, place) =>
        make("tr", {}, make("th", { scope: "row" }, each.label), this.cells[place])));
    }
    this.show(Math.min(stays ? this.frame : scene.still, this.count - 1), false);
  }

  show(frame, byHand) {
    if (byHand && this.playing) this.toggle();
    if (byHand) this.chosen = true;
    this.frame = frame;
    const scene = this.scene;
    scene.shapes.forEach((each, place) => {
      for (const [name, values] of Object.entries(each.moving)) this.nodes[place].setAttribute(name, values[frame]);
    });
    scene.readings.forEach((each, place) => { this.cells[place].textContent = each.values[Math.min(frame, each.values.length - 1)]; });
    this.moment.value = frame;
    this.clock.textContent = scene.times[frame];
    this.moment.setAttribute("aria-valuetext", scene.times[frame]);
    this.root.dataset.frame = frame;
  }

  step(by) {
    const frames = Math.max(1, Math.round(this.count / 24));
    this.show(Math.max(0, Math.min(this.count - 1, this.frame + by * frames)), true);
  }

  toggle() {
    this.playing = !this.playing;
    this.play.textContent = this.playing ? "❚❚ Pause" : "▶ Play";
    if (!this.playing) return;
    if (this.frame >= this.count - 1) this.show(0, false);
    this.begun = null;
    requestAnimationFrame((now) => this.tick(now));
  }

  tick(now) {
    if (!this.playing || !this.root.isConnected) return;
    if (this.begun === null || this.paceThen !== this.pace.value) {
      this.paceThen = this.pace.value;
      this.begun = now;
      this.from = this.frame;
    }
    const passed = ((now - this.begun) / 1000) * Number(this.pace.value);
    let frame = this.from + Math.floor((passed / this.scene.seconds) * this.count);
    // Who asked for less motion sees a row of stills.
    if (this.calm) frame -= frame % Math.max(1, Math.round(this.count / 12));
    if (frame >= this.count - 1) {
      this.show(this.count - 1, false);
      this.toggle();
      return;
    }
    if (frame !== this.frame) this.show(Math.max(frame, 0), false);
    requestAnimationFrame((then) => this.tick(then));
  }

  drawPicture() {
    const picture = this.model.get("picture");
    this.image.hidden = this.imageWords.hidden = !picture.data;
    if (picture.data) {
      this.image.src = picture.data;
      this.image.width = picture.width;
      this.image.alt = picture.words;
    }
    this.imageWords.textContent = picture.words;
  }

  remove() {
    this.playing = false;
    this.model.off("change:controls", this.controlsListener);
    this.model.off("change:at", this.atListener);
    this.model.off("change:scene", this.sceneListener);
    this.model.off("change:picture", this.pictureListener);
  }
}
