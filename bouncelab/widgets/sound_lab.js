// The sound lab: a recording with its impacts. The kernel listens, reckons and keeps;
// here stands what it says, and what a person does goes there.

const UPLOAD = 1 << 20; // bytes of a file sent at a time
const HIGH = 190, LOW = 120; // px, of the drawings
const MOST_DECODED = 1 << 26, DECODED = 48000; // bytes of a file; samples a second
const FINE = 1e-4, COARSE = 1e-3; // s, of a nudge

function outline(view, wide, high) {
  const across = (k) => ((wide * (k + 0.5)) / view.high.length).toFixed(1);
  const up = (share) => (high / 2 - share * (high / 2 - 24)).toFixed(1);
  const top = view.high.map((share, k) => `${across(k)},${up(share)}`);
  const bottom = view.low.map((share, k) => `${across(k)},${up(share)}`).reverse();
  return [...top, ...bottom].join(" ");
}

class Listening {
  constructor(model, el) {
    this.model = model;
    this.rows = new Map();
    this.line = new Line(model, (alive) => this.heard(alive));
    this.build(el);
    this.listeners = {
      "change:state": () => this.draw(),
      "change:view": () => this.drawView(),
      "change:busy": () => this.drawBusy(),
      "msg:custom": (message, buffers) => this.message(message, buffers),
    };
    for (const [name, call] of Object.entries(this.listeners)) model.on(name, call);
    this.draw();
    this.drawView();
  }

  build(el) {
    const button = (text, call, more = {}) => make("button", { type: "button", onclick: call, ...more }, text);
    this.recording = make("select", { onchange: () => this.step({ do: "choose", name: this.recording.value }) });
    this.file = make("input", { type: "file", accept: this.model.get("endings") + ",audio/*", onchange: () => this.load() });
    this.save = button("Save this recording", () => this.step({ do: "save" }));
    this.microphone = new Microphone((name, bytes) => this.upload(name, bytes, false));
    this.busy = make("p", { class: "bl-busy", role: "status" });
    this.bad = make("p", { class: "bl-bad", role: "alert", hidden: true });
    this.said = make("p", { role: "status" });
    this.drop = make("select", { onchange: () => this.step({ do: "drop", place: Number(this.drop.value) }) });
    this.drops = make("label", {}, make("span", {}, "Drop"), this.drop);
    this.playDrop = button("▶ Play this drop", () => this.model.send({ ask: "play", part: "drop" }));
    this.playWhole = button("▶ Play the whole recording", () => this.model.send({ ask: "play", part: "whole" }));
    this.audio = make("audio", { controls: true, hidden: true, "aria-label": "what was recorded" });
    this.svg = shape("svg", { role: "img", preserveAspectRatio: "none", class: "bl-wave" });
    this.closely = shape("svg", { role: "img", preserveAspectRatio: "none", class: "bl-wave bl-close" });
    this.words = make("figcaption", {},
      "▼ counts, ✕ left out, ◆ placed by you. Drag a mark to move it, double-click to add one; by keys, use the table.");
    this.closeWords = make("figcaption");
    this.close = make("figure", { class: "bl-drawing bl-wide-drawing" }, this.closely, this.closeWords);
    this.svg.addEventListener("pointerdown", (event) => this.grab(event));
    this.svg.addEventListener("dblclick", (event) => this.step({ do: "add", at: this.when(event, this.svg, this.model.get("view")) }));
    this.closely.addEventListener("click", (event) => this.put(event));
    this.body = make("tbody");
    const heads = ["no.", "time (s)", "± (ms)", "since the last (s)", "off the law (ms)", "does it count?", ""];
    this.table = make("div", { class: "bl-scroll", tabindex: "-1" }, make("table", { class: "bl-answers bl-impacts" },
      make("caption", {}, make("span", {}, "The impacts. Arrow up and down move one by 1 ms, with Shift by 0.1 ms; Ctrl+Z takes a step back.")),
      make("thead", {}, make("tr", {}, ...heads.map((text) => make("th", { scope: "col" }, text || make("span", { class: "bl-hidden" }, "why"))))),
      this.body));
    this.undo = button("↶ Undo", () => this.step({ do: "undo" }));
    this.redo = button("↷ Redo", () => this.step({ do: "redo" }));
    this.add = button("+ Add an impact", () => { this.goTo = true; this.step({ do: "add" }); });
    this.fields = {};
    this.answer = make("div", { class: "bl-told-all", role: "status" });
    this.compared = make("p", { role: "status" });
    this.send = button("Send this drop to the class's table", () => this.step({ do: "send" }));
    this.sent = make("p", { role: "status" });
    this.saved = make("p", { class: "bl-saved", role: "status" });
    this.open = make("div", {},
      make("div", { class: "bl-buttons" }, this.drops, this.playDrop, this.playWhole), this.audio,
      make("figure", { class: "bl-drawing bl-wide-drawing" }, this.svg, this.words), this.close, this.table,
      make("div", { class: "bl-buttons" }, this.add, this.undo, this.redo),
      make("section", { "aria-label": "What the times say" }, this.answer),
      make("div", { class: "bl-fields" }, this.field("kind", "Kind of ball, for air and time on the floor", "select"),
        this.field("tape", "Compare with what the tape said", "select")),
      this.compared,
      make("div", { class: "bl-fields" }, this.field("ball", "The ball's name in the class", "such as Futsal A"),
        this.field("floor", "Floor", "such as gym, wood"), this.field("pressure", "Gauge pressure (kPa), if known", ""),
        this.field("height", "Drop height by tape, if read", "such as 180 cm"), this.field("group", "Our group's name", "")),
      make("div", { class: "bl-buttons" }, this.send), this.sent);
    this.root = make("div", { class: "bl-lab bl-listening" },
      make("div", { class: "bl-fields" },
        make("label", { class: "bl-wide" }, make("span", {}, "Recording"), this.recording),
        make("label", { class: "bl-wide" }, make("span", {}, "Or load a file of your own; a copy is kept"), this.file)),
      this.microphone.root, make("div", { class: "bl-buttons" }, this.save),
      this.busy, this.bad, this.said, this.open, this.saved);
    shield(this.root);
    this.root.addEventListener("keydown", (event) => this.key(event));
    this.wide = 800;
    this.sizes = new ResizeObserver(() => {
      const wide = this.root.clientWidth && Math.round(this.svg.getBoundingClientRect().width);
      if (!wide || wide === this.wide) return;
      this.wide = wide;
      this.drawView();
    });
    this.sizes.observe(this.root);
    el.append(this.root);
  }

  field(name, text, example) {
    const select = example === "select";
    const control = select ? make("select") : make("input", { type: "text", maxlength: "60", autocomplete: "off", placeholder: example });
    control.addEventListener(select ? "change" : "input", () => this.line.send({ do: name, field: name, text: control.value }));
    this.fields[name] = control;
    return make("label", { class: select ? "bl-wide" : null }, make("span", {}, text), control);
  }

  step(step) {
    this.line.send(step);
  }

  heard(alive) {
    this.silent = !alive;
    this.draw();
  }

  key(event) {
    const letter = event.key.toLowerCase();
    if ((event.ctrlKey || event.metaKey) && (letter === "z" || letter === "y")) {
      event.preventDefault();
      this.step({ do: letter === "y" || event.shiftKey ? "redo" : "undo" });
    }
  }

  nudge(event, name) {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (!way || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    this.step({ do: "nudge", mark: name, by: way * (event.shiftKey ? FINE : COARSE) });
  }

  // A file goes over in pieces, each after the answer to the last one.
  async load() {
    const file = this.file.files[0];
    if (file) await this.upload(...(await this.readable(file)), true);
    this.file.value = "";
  }

  // What the kernel has no reader for, the browser may have: phones' recordings, say.
  async readable(file) {
    const ending = file.name.slice(file.name.lastIndexOf(".")).toLowerCase();
    if (this.model.get("reads").includes(ending) || file.size > MOST_DECODED) return [file.name, file];
    this.busy.textContent = "Decoding …";
    try {
      const sound = await new OfflineAudioContext(1, 1, DECODED).decodeAudioData(await file.arrayBuffer());
      return [file.name.slice(0, -ending.length) + ".wav", wavFile([sound.getChannelData(0)], DECODED)];
    } catch {
      return [file.name, file]; // the kernel says what is wrong with it
    }
  }

  async upload(name, source, keep) {
    const size = source.size ?? source.byteLength;
    for (let at = 0; at === 0 || at < size; at += UPLOAD) {
      let piece = source.slice(at, at + UPLOAD);
      if (piece.arrayBuffer) piece = await piece.arrayBuffer();
      const last = at + UPLOAD >= size;
      this.busy.textContent = last ? "Listening …" : `Loading: ${Math.round((100 * at) / size)} %`;
      const answer = new Promise((resolve) => { this.piece = resolve; });
      this.model.send({ ask: "piece", name, first: at === 0, last, keep }, undefined, [new DataView(piece)]);
      if ((await answer) !== "ok") break;
    }
    this.drawBusy();
  }

  message(message, buffers) {
    if (message.piece) this.piece?.(message.piece);
    if (message.sound === undefined) return;
    if (this.audio.src) URL.revokeObjectURL(this.audio.src);
    this.audio.src = URL.createObjectURL(new Blob([buffers[0]], { type: "audio/wav" }));
    this.audio.hidden = false;
    this.audio.play().catch(() => {}); // its own button stays
  }

  when(event, svg, view) {
    const box = svg.getBoundingClientRect();
    return view.start + ((event.clientX - box.left) / box.width) * (view.end - view.start);
  }

  grab(event) {
    const mark = event.target.closest("[data-mark]");
    if (!mark) return;
    event.preventDefault();
    const name = mark.dataset.mark;
    this.svg.setPointerCapture(event.pointerId);
    const from = event.clientX;
    const view = this.model.get("view");
    const move = (now) => {
      const x = ((this.when(now, this.svg, view) - view.start) / (view.end - view.start)) * this.wide;
      mark.setAttribute("transform", `translate(${x.toFixed(1)} 0)`);
    };
    const drop = (now) => {
      this.svg.removeEventListener("pointermove", move);
      if (Math.abs(now.clientX - from) < 2) this.step({ do: "mark", mark: name });
      else this.step({ do: "place", mark: name, text: this.when(now, this.svg, view).toFixed(4) });
    };
    this.svg.addEventListener("pointermove", move);
    this.svg.addEventListener("pointerup", drop, { once: true });
  }

  put(event) {
    const { close } = this.model.get("view");
    const { mark } = this.model.get("state");
    this.step({ do: "place", mark, text: this.when(event, this.closely, close).toFixed(4) });
  }

  draw() {
    const state = this.model.get("state");
    options(this.recording, state.recordings, state.recording);
    options(this.drop, state.drops, state.drop);
    this.drops.hidden = state.drops.length < 2;
    this.open.hidden = !state.recording;
    this.save.parentElement.hidden = !state.unsaved;
    this.playWhole.hidden = !state.whole;
    this.bad.hidden = !state.bad;
    if (this.bad.textContent !== state.bad) this.bad.textContent = state.bad && "✕ " + state.bad;
    this.text(this.said, state.said.join(" "));
    const texts = state.answer.map((text) => make("p", {}, text));
    const key = state.answer.join("|");
    if (this.answer.dataset.key !== key) fill(this.answer, ...texts);
    this.answer.dataset.key = key;
    this.text(this.compared, state.compared);
    this.text(this.sent, state.sent);
    this.text(this.saved, this.silent
      ? "✕ Not kept yet: the kernel behind this page does not answer. Choose Run ▸ Restart Kernel and Run All Cells."
      : state.saved);
    this.saved.classList.toggle("bl-bad", Boolean(this.silent));
    this.undo.disabled = !state.can_undo;
    this.redo.disabled = !state.can_redo;
    const choices = { kind: state.kinds, tape: state.tapes };
    for (const [name, control] of Object.entries(this.fields)) {
      if (control.tagName === "SELECT") options(control, choices[name], state.fields[name]);
      else if (control.value !== state.fields[name] && !this.line.isPendingField(name)) control.value = state.fields[name];
    }
    this.drawTable(state);
    this.drawView();
  }

  text(node, words) {
    if (node.textContent !== words) node.textContent = words;
  }

  drawBusy() {
    this.text(this.busy, this.model.get("busy"));
  }

  row(name) {
    const time = make("input", {
      type: "text", role: "spinbutton", inputmode: "decimal", autocomplete: "off", size: "8",
      onfocus: () => this.model.get("state").mark !== name && this.step({ do: "mark", mark: name }),
      onkeydown: (event) => this.nudge(event, name),
      onchange: () => this.step({ do: "place", mark: name, text: time.value }),
    });
    const use = make("button", { type: "button", onclick: () => this.step({ do: "counts", mark: name, counts: use.dataset.next === "yes" }) });
    const number = make("th", { scope: "row" });
    const [u, gap, off, why] = [make("td"), make("td"), make("td"), make("td")];
    const line = make("tr", {}, number, make("td", {}, time), u, gap, off, make("td", {}, use), why);
    return { line, number, time, u, gap, off, use, why };
  }

  drawTable(state) {
    const names = state.marks.map((mark) => mark.name);
    const focus = document.activeElement;
    for (const mark of state.marks) {
      if (!this.rows.has(mark.name)) this.rows.set(mark.name, this.row(mark.name));
      const row = this.rows.get(mark.name);
      const set = (name, text) => this.text(row[name], text);
      set("number", mark.number);
      for (const name of ["u", "gap", "off", "why"]) set(name, mark[name]);
      if (row.time.value !== mark.time && (row.shown !== mark.time || state.bad)) row.time.value = mark.time;
      row.shown = mark.time;
      row.time.setAttribute("aria-label", `time of ${mark.label} in seconds`);
      row.time.setAttribute("aria-valuenow", mark.time);
      row.time.setAttribute("aria-valuetext", `${mark.time} s, ${mark.why}`);
      row.use.dataset.next = mark.counts ? "no" : "yes";
      set("use", mark.counts ? "Strike out" : "Bring back");
      row.use.setAttribute("aria-label", `${mark.counts ? "Strike out" : "Bring back"} ${mark.label} at ${mark.time} s`);
      row.line.classList.toggle("bl-aside", !mark.counts);
      row.line.classList.toggle("bl-chosen", mark.name === state.mark);
    }
    const shown = names.join("|");
    if (this.body.dataset.shown !== shown) {
      this.body.dataset.shown = shown;
      fill(this.body, ...names.map((name) => this.rows.get(name).line));
      if (this.body.contains(focus)) focus.focus(); // it was taken out and put back
      for (const name of this.rows.keys()) if (!names.includes(name)) this.rows.delete(name);
    }
    if (this.goTo && this.rows.has(state.mark)) {
      this.goTo = false;
      this.rows.get(state.mark).time.focus();
    }
  }

  drawView() {
    const view = this.model.get("view");
    const state = this.model.get("state");
    if (!view.high) return;
    for (const [svg, high] of [[this.svg, HIGH], [this.closely, LOW]]) svg.setAttribute("viewBox", `0 0 ${this.wide} ${high}`);
    const where = (time, part) => (this.wide * (time - part.start)) / (part.end - part.start);
    const inside = state.marks.filter((mark) => mark.at >= view.start && mark.at <= view.end);
    fill(this.svg, shape("polygon", { points: outline(view, this.wide, HIGH), class: "bl-sound" }), ...inside.map((mark) => {
      const kind = !mark.counts ? "out" : mark.by_hand ? "hand" : "in";
      const sign = { out: "✕", hand: "◆", in: "▼" }[kind];
      const group = shape("g", { "data-mark": mark.name, class: `bl-mark bl-mark-${kind}${mark.name === state.mark ? " bl-chosen" : ""}`,
        transform: `translate(${where(mark.at, view).toFixed(1)} 0)` });
      group.append(shape("rect", { x: -9, width: 18, y: 0, height: HIGH, class: "bl-grip" }),
        shape("line", { y1: mark.counts ? 20 : HIGH - 20, y2: mark.counts ? HIGH : HIGH - 4 }),
        shape("text", { y: mark.counts ? 16 : HIGH - 6, "text-anchor": "middle" }, mark.counts ? `${sign}${mark.number}` : sign));
      return group;
    }));
    const counting = state.marks.filter((mark) => mark.counts);
    this.svg.setAttribute("aria-label",
      `Sound from ${view.start.toFixed(2)} s to ${view.end.toFixed(2)} s. `
      + (counting.length ? `${counting.length} impacts count, at ${counting.map((mark) => mark.time).join(", ")} s. ` : "No impact counts. ")
      + `${state.marks.length - counting.length} other sounds are left out.`);
    const { close } = view;
    this.close.hidden = !close?.high;
    if (!close?.high) return;
    const at = where(close.at, close);
    fill(this.closely, shape("polygon", { points: outline(close, this.wide, LOW), class: "bl-sound" }),
      shape("line", { x1: at, x2: at, y1: 0, y2: LOW, class: "bl-here" }));
    const chosen = state.marks.find((mark) => mark.name === state.mark);
    const words = `Closely: 12 ms before and after ${chosen ? chosen.time : ""} s. Where the sound begins, there the impact is. Click to put it there.`;
    this.closely.setAttribute("aria-label", words);
    this.text(this.closeWords, words);
  }

  remove() {
    this.microphone.release();
    this.sizes.disconnect();
    for (const [name, call] of Object.entries(this.listeners)) this.model.off(name, call);
  }
}
