/* One picture of a part. The viewBox is zoom and pan; everything drawn on the picture shares its pixels.

   <svg class="pane" data-pane="part" data-width="1200" data-height="900" …> with <image data-picture>. Attributes:
   data-cx, data-cy, data-w   centre and width of the first view in picture pixels; without them the whole picture
   data-ppm                   picture pixels per millimetre; panes of a bench are then linked in millimetres
   data-bars                  limits to scale: "6:weld 6;10:flow 10 mm"
   data-frames, data-frame    JSON list of addresses of the pictures under other light or tilt, and the first shown
   data-can-mark              a tap places the mark
   <text data-word>           a word beside a mark, kept at one size on the screen
   Events, all bubbling: pane-mark {x, y} in picture pixels, pane-loaded, pane-failed. */

import { Loupe, element, set } from "./loupe.js";

const TAP = 8;
const NEAREST = 4;

export class Pane {
  constructor(svg, bench) {
    this.svg = svg;
    this.bench = bench;
    this.box = svg.parentElement;
    this.image = svg.querySelector("image[data-picture]");
    const { width, height, ppm, frames } = svg.dataset;
    Object.assign(this, { width: +width, height: +height, ppm: +ppm || 0, frames: JSON.parse(frames || "[]") });
    this.yours = svg.querySelector("[data-your-mark]");
    this.loaded = new Map();
    this.fingers = new Map();
    for (const [name, act] of [["pointerdown", "down"], ["pointermove", "move"], ["pointerup", "up"],
      ["pointercancel", "gone"], ["pointerleave", "leave"]]) {
      svg.addEventListener(name, (event) => this[act](event));
    }
    svg.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    svg.addEventListener("keydown", (event) => this.keydown(event));
    this.#load();
  }

  /* ----- view ----- */

  get size() { return { w: this.box.clientWidth || 1, h: this.box.clientHeight || 1 }; }
  get whole() { const { w, h } = this.size; return Math.max(this.width, (this.height * w) / h); }
  get startWidth() { return +this.svg.dataset.w || this.whole; }
  get start() { return { x: +this.svg.dataset.cx || this.width / 2, y: +this.svg.dataset.cy || this.height / 2 }; }
  get unit() { return this.bench.inMillimetres ? this.ppm : 1; }
  /** Picture pixels per screen pixel. */
  get scale() { return this.view.w / this.size.w; }

  /** Draw the view of the bench: its zoom, and its shift in millimetres or pixels. */
  show({ zoom, dx, dy }) {
    const { w, h } = this.size;
    const width = this.startWidth / zoom, height = (width * h) / w;
    const x = this.start.x + dx * this.unit - width / 2, y = this.start.y + dy * this.unit - height / 2;
    this.view = { x, y, w: width, h: height };
    this.svg.setAttribute("viewBox", `${x} ${y} ${width} ${height}`);
    this.svg.classList.toggle("can-pan", width < this.whole - 1);
    this.#bars();
    this.#words();
    this.#drawMark();
  }

  // Words beside marks are read at one size, however near the picture is.
  #words() {
    for (const text of this.svg.querySelectorAll("[data-word]")) set(text, { "font-size": 18 * this.scale, dy: -8 * this.scale });
  }

  #bars() {
    this.svg.querySelector(".to-scale")?.remove();
    if (!this.svg.dataset.bars || !this.ppm) return;
    const s = this.scale, group = element("g", { class: "to-scale" }), left = this.view.x + 20 * s;
    this.svg.dataset.bars.split(";").reverse().forEach((bar, place) => {
      const [millimetres, word] = bar.split(":"), end = left + millimetres * this.ppm;
      const y = this.view.y + this.view.h - (26 + 30 * place) * s;
      const text = element("text", { x: end + 12 * s, y: y + 6 * s, "font-size": 18 * s });
      text.textContent = word;
      group.append(
        element("line", { class: "bar-u", x1: left - 3 * s, x2: end + 3 * s, y1: y, y2: y }),
        element("line", { class: "bar", x1: left, x2: end, y1: y, y2: y }), text);
    });
    this.svg.append(group);
  }

  /* ----- frames: swapped at once, no cross-fade, and only when loaded ----- */

  #load() {
    const addresses = this.frames.length ? this.frames : [this.image.getAttribute("href")];
    addresses.forEach((address) => this.#fetch(address));
  }

  async #fetch(address) {
    const picture = new Image();
    picture.src = address;
    try {
      await picture.decode();
      this.loaded.set(address, true);
      if (address === this.wanted || address === this.image.getAttribute("href")) this.#arrive(address);
    } catch {
      this.loaded.set(address, false);
      if (address === this.image.getAttribute("href")) this.#tell("pane-failed", {});
    }
  }

  #arrive(address) {
    this.image.setAttribute("href", address);
    this.ready = true;
    this.#tell("pane-loaded", {});
  }

  again() {
    for (const [address, good] of this.loaded) if (!good) this.#fetch(address);
  }

  /** Show the frame under the lamp's place of so many; fewer or more frames stand over the same arc. */
  frame(place, count) {
    if (!this.frames.length) return;
    this.wanted = this.frames[Math.round((place * (this.frames.length - 1)) / (count - 1))];
    if (this.loaded.get(this.wanted)) this.image.setAttribute("href", this.wanted);
  }

  region(shown) { this.svg.querySelector("[data-region]")?.toggleAttribute("hidden", !shown); }

  /* ----- pointers: drag pans, two fingers zoom, a tap marks or swaps ----- */

  down(event) {
    this.svg.setPointerCapture(event.pointerId);
    this.fingers.set(event.pointerId, { x: event.clientX, y: event.clientY, ox: event.clientX, oy: event.clientY });
    this.travelled = 0;
    if (this.bench.magnifies) this.#magnify(event);
  }

  move(event) {
    const finger = this.fingers.get(event.pointerId);
    if (this.bench.magnifies && (finger || event.pointerType === "mouse")) { this.#magnify(event); return; }
    if (!finger) return;
    const before = this.#spread();
    const moved = { x: event.clientX - finger.x, y: event.clientY - finger.y };
    Object.assign(finger, { x: event.clientX, y: event.clientY });
    this.travelled = Math.max(this.travelled, Math.hypot(finger.x - finger.ox, finger.y - finger.oy));
    if (this.travelled <= TAP && this.fingers.size === 1) return;
    if (this.fingers.size === 2) this.bench.zoomBy(this.#spread() / before, this.place(event));
    this.bench.pan((-moved.x * this.scale) / this.unit / this.fingers.size,
      (-moved.y * this.scale) / this.unit / this.fingers.size);
  }

  up(event) {
    const tapped = this.fingers.size === 1 && this.travelled <= TAP;
    this.gone(event);
    if (!tapped) return;
    if ("canMark" in this.svg.dataset) this.mark(this.place(event));
    else if (!this.bench.magnifies) this.bench.tapped();
  }

  gone(event) {
    this.fingers.delete(event.pointerId);
    if (event.pointerType !== "mouse") this.loupe?.hide();
  }

  leave() { this.loupe?.hide(); }

  wheel(event) {
    event.preventDefault();
    this.bench.zoomBy(event.deltaY < 0 ? 1.15 : 1 / 1.15, this.place(event));
  }

  #spread() {
    const [one, two] = [...this.fingers.values()];
    return two ? Math.hypot(one.x - two.x, one.y - two.y) || 1 : 1;
  }

  #magnify(event) {
    this.loupe ??= new Loupe(this.svg);
    const { x, y } = this.place(event);
    this.loupe.move(x, y, this.scale, { finger: event.pointerType !== "mouse" });
  }

  /** The place of a pointer in picture pixels. */
  place(event) {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    return { x: point.x, y: point.y };
  }

  /* ----- the mark ----- */

  /** Place the mark and say so; places beyond the picture count as its edge. */
  mark({ x, y }) {
    this.at = { x: Math.round(Math.min(Math.max(x, 0), this.width)), y: Math.round(Math.min(Math.max(y, 0), this.height)) };
    this.#drawMark();
    this.#tell("pane-mark", { ...this.at, pane: this.svg.dataset.pane });
  }

  unmark() { this.at = null; this.yours?.setAttribute("hidden", ""); }

  #drawMark() {
    if (!this.at || !this.yours) return;
    this.yours.removeAttribute("hidden");
    set(this.yours, { transform: `translate(${this.at.x} ${this.at.y}) scale(${this.scale})` });
  }

  // With the keyboard the mark moves in steps of a fiftieth of the view; Shift makes them five times as long.
  keydown(event) {
    const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!("canMark" in this.svg.dataset) || !steps || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    event.stopPropagation();
    const far = (this.view.w / 50) * (event.shiftKey ? 5 : 1);
    const from = this.at ?? { x: this.view.x + this.view.w / 2, y: this.view.y + this.view.h / 2 };
    this.mark({ x: from.x + steps[0] * far, y: from.y + steps[1] * far });
  }

  /** The narrowest and the widest view as zoom. */
  get zooms() {
    return { least: Math.min(1, this.startWidth / this.whole), most: Math.max(1, (this.startWidth * NEAREST) / this.size.w) };
  }

  #tell(name, detail) { this.svg.dispatchEvent(new CustomEvent(name, { bubbles: true, detail })); }
}
