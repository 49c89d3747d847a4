// Recording from the computer's microphone: asks first, shows a level, stops by
// itself, and hands over a WAV file when it is done. Nothing is kept here.

const LONGEST = 60; // s of one recording
const PIECE = 2048; // samples that come at a time
const QUIET = 0.02, LOUD = 0.98; // of full scale
const HELP = "Record with a phone's own recorder, bring the file to this computer, and load it above.";
const LISTENER = `
registerProcessor("bouncelab-listener", class extends AudioWorkletProcessor {
  constructor() { super(); this.held = new Float32Array(${PIECE}); this.at = 0; }
  process([input]) {
    if (!input.length) return true;
    for (const sample of input[0]) {
      this.held[this.at++] = sample;
      if (this.at < ${PIECE}) continue;
      this.port.postMessage(this.held.slice());
      this.at = 0;
    }
    return true;
  }
});`;

function refusal(error) {
  const why = {
    NotAllowedError: "The microphone was refused. To allow it, use the sign beside the page's address, then press Record again.",
    NotFoundError: "No microphone was found. Plug one in, or choose one in the computer's settings.",
    NotReadableError: "The microphone is there, but another program holds it. Close that program, then press Record again.",
  };
  return `✕ ${why[error.name] || `The microphone cannot be used (${error.name}).`} Or: ${HELP}`;
}

function wavFile(pieces, rate) {
  const count = pieces.reduce((sum, piece) => sum + piece.length, 0);
  const view = new DataView(new ArrayBuffer(44 + 2 * count));
  const text = (at, letters) => [...letters].forEach((letter, k) => view.setUint8(at + k, letter.charCodeAt(0)));
  text(0, "RIFF");
  view.setUint32(4, 36 + 2 * count, true);
  text(8, "WAVEfmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true); // whole numbers
  view.setUint16(22, 1, true); // one channel
  view.setUint32(24, rate, true);
  view.setUint32(28, 2 * rate, true);
  view.setUint16(32, 2, true);
  view.setUint16(34, 16, true);
  text(36, "data");
  view.setUint32(40, 2 * count, true);
  let at = 44;
  for (const piece of pieces) {
    for (const sample of piece) {
      view.setInt16(at, Math.round(32767 * Math.max(-1, Math.min(1, sample))), true);
      at += 2;
    }
  }
  return view.buffer;
}

class Microphone {
  constructor(take) {
    this.take = take; // is given a name and the bytes of a WAV file
    this.pieces = [];
    this.button = make("button", { type: "button", onclick: () => (this.stream ? this.stop() : this.start()) });
    this.meter = make("meter", { min: "0", max: "1", low: QUIET, high: LOUD, optimum: "0.5", value: "0", "aria-label": "level of the microphone" });
    this.level = make("output", {}, "");
    this.said = make("p", { role: "status" });
    this.live = make("div", { class: "bl-level", hidden: true }, this.meter, this.level);
    this.root = make("div", { class: "bl-microphone" },
      make("p", {}, `Recording asks for your leave first, and stops by itself after ${LONGEST} s. The sound goes to this notebook alone. `
        + "Nothing is kept unless you press “Save this recording”; otherwise it is gone with the next one."),
      make("div", { class: "bl-buttons" }, this.button, this.live), this.said);
    this.idle();
  }

  idle() {
    this.button.textContent = "● Record with this computer's microphone";
    this.live.hidden = true;
  }

  tell(text) {
    this.said.textContent = text;
    this.said.classList.toggle("bl-bad", text.startsWith("✕"));
  }

  async start() {
    if (!window.isSecureContext || !navigator.mediaDevices) {
      this.tell("✕ This page comes from another computer without encryption (http), and browsers then give no microphone. "
        + "Open the kit on this very computer, or by https. Or: " + HELP);
      return;
    }
    if (this.asking) return;
    this.asking = true; // a button that is switched off would lose the focus
    this.tell("Your browser asks whether this page may use the microphone.");
    try {
      // All three would take bounces for noise, and flatten them.
      this.stream = await navigator.mediaDevices.getUserMedia({
        audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 },
      });
      await this.listen();
    } catch (error) {
      this.release();
      this.idle();
      this.tell(refusal(error));
    }
    this.asking = false;
  }

  async listen() {
    this.pieces = [];
    this.loudest = 0;
    this.count = 0;
    const track = this.stream.getAudioTracks()[0];
    track.addEventListener("ended", () => this.stop());
    this.context = new AudioContext();
    await this.context.resume();
    this.rate = this.context.sampleRate;
    const source = this.context.createMediaStreamSource(this.stream);
    source.connect(await this.ear());
    const kept = track.getSettings();
    this.tell(kept.autoGainControl || kept.noiseSuppression
      ? "? Recording. This browser does not let its volume control be switched off: soft bounces may come out wrong."
      : "Recording. Drop the ball and let it bounce to its end, then press Stop.");
    this.button.textContent = "■ Stop";
    this.live.hidden = false;
  }

  // A worklet where there is one, the older way elsewhere.
  async ear() {
    if (this.context.audioWorklet) {
      const place = URL.createObjectURL(new Blob([LISTENER], { type: "text/javascript" }));
      try {
        await this.context.audioWorklet.addModule(place);
        const node = new AudioWorkletNode(this.context, "bouncelab-listener", { numberOfOutputs: 0 });
        node.port.onmessage = (message) => this.heard(message.data);
        return node;
      } catch {
        // A page may forbid worklets; the other way needs none.
      } finally {
        URL.revokeObjectURL(place);
      }
    }
    const node = this.context.createScriptProcessor(PIECE, 1, 1);
    node.onaudioprocess = (event) => this.heard(event.inputBuffer.getChannelData(0).slice());
    node.connect(this.context.destination); // without it some browsers ask for nothing
    return node;
  }

  heard(piece) {
    if (!this.stream) return;
    this.pieces.push(piece);
    this.count += piece.length;
    const peak = piece.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
    this.loudest = Math.max(this.loudest, peak);
    // Falls slowly, so that a short bounce can be seen.
    this.meter.value = Math.max(peak, this.meter.value * 0.85);
    const word = peak >= LOUD ? "too loud: further away" : this.meter.value < QUIET ? "quiet" : "good";
    this.level.textContent = `${(this.count / this.rate).toFixed(0)} s, level ${word}`;
    if (this.count >= LONGEST * this.rate) this.stop();
  }

  async stop() {
    if (!this.stream) return;
    this.release();
    this.idle();
    const pieces = this.pieces;
    this.pieces = [];
    if (this.loudest < 1e-4) {
      this.tell("✕ Nothing but silence came from the microphone: is it switched off or muted? Or: " + HELP);
      return;
    }
    this.tell(this.loudest >= LOUD
      ? "? The recording is too loud in places; the times still hold. It is not saved yet."
      : "Recorded. It is not saved yet.");
    const now = new Date();
    const two = (number) => String(number).padStart(2, "0");
    const day = [now.getFullYear(), two(now.getMonth() + 1), two(now.getDate())].join("-");
    const time = [now.getHours(), now.getMinutes(), now.getSeconds()].map(two).join(".");
    await this.take(`recording ${day} ${time}.wav`, wavFile(pieces, this.rate));
  }

  release() {
    for (const track of this.stream?.getTracks() ?? []) track.stop();
    this.context?.close();
    this.stream = this.context = null;
  }
}
