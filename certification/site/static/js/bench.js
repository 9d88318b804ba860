/* The bench: the panes of a page with linked zoom, pan and tilt, and the keys that work them.

   Root: the element with data-bench. Keys inside it:
   data-zoom="in|out|full"   + and −, full shows one picture pixel on one screen pixel; data-zoom-out says how large
   data-tilt="-1|1"          the other frames; data-tilt-out says "4 / 5", data-tilt-dial draws the lamp and can be dragged
   data-beside               first piece beside, or in place; data-swap changes which of the two is in place
   data-outline, data-loupe  the region outlined, the magnifying glass (aria-pressed)
   data-real-size            device pixels per mm of this screen; says in data-words how large the part is shown
   data-pane-again           loads pictures again that did not arrive
   On the keyboard: + − 0, arrows tilt, Shift and arrows pan, F beside, S swap, O outline, L loupe.
   Event pane-ready on the root: every first picture is there, looking can begin. */

import { element, set } from "./loupe.js";
import { Pane } from "./pane.js";

const STEP = 1.5;

export class Bench {
  constructor(root) {
    this.root = root;
    this.panes = [...root.querySelectorAll("svg.pane")].map((svg) => new Pane(svg, this));
    this.inMillimetres = this.panes.every((pane) => pane.ppm > 0);
    this.lead = this.panes.find((pane) => pane.svg.dataset.pane === "part") ?? this.panes[0];
    this.at = { zoom: 1, dx: 0, dy: 0 };
    // The lamp is the part's own; where the part has one picture only, that of the pane that has most.
    const lit = [this.lead, ...this.panes].reduce((most, pane) => (
      this.lead.frames.length < 2 && pane.frames.length > most.frames.length ? pane : most));
    this.count = lit.frames.length;
    this.frame = Number(lit.svg.dataset.frame ?? 0);
    this.beside = true;
    this.magnifies = false;
    root.addEventListener("click", (event) => this.#click(event));
    root.addEventListener("pane-loaded", () => this.#loaded());
    root.addEventListener("pane-failed", (event) => this.#failed(event.target, true));
    new ResizeObserver(() => this.draw()).observe(this.lead.box);
    this.#dial();
    this.draw();
    this.tilt(0);
  }

  draw() {
    for (const pane of this.panes) if (pane.box.clientWidth) pane.show(this.at);
    // A bench that is kept ready and not on the screen has no view yet.
    if (!this.lead.view) return;
    const percent = Math.round((100 * this.lead.size.w) / this.lead.view.w);
    this.#say("[data-zoom-out]", `${percent} %`);
    this.#realSize();
  }

  // How much larger than the part itself its picture is, where the screen's own size is known.
  #realSize() {
    const said = this.root.querySelector("[data-real-size]");
    if (!said || !this.lead.ppm) return;
    const pixels = window.devicePixelRatio * (this.lead.ppm / this.lead.scale);
    const times = pixels / Number(said.dataset.realSize);
    const number = times.toLocaleString(document.documentElement.lang, { maximumSignificantDigits: 2 });
    said.textContent = said.dataset.words.replace("{n}", number);
  }

  zoomBy(factor, around) {
    const { least, most } = this.lead.zooms;
    const zoom = Math.min(most, Math.max(least, this.at.zoom * factor));
    if (around) {
      // what lies under the pointer stays under it
      const { start, unit } = this.lead, kept = 1 - this.at.zoom / zoom;
      this.at.dx += ((around.x - start.x) / unit - this.at.dx) * kept;
      this.at.dy += ((around.y - start.y) / unit - this.at.dy) * kept;
    }
    this.at.zoom = zoom;
    this.pan(0, 0);
  }

  full() { this.zoomBy(this.lead.startWidth / this.lead.size.w / this.at.zoom); }

  /** Shift the view; its centre stays on the picture. */
  pan(dx, dy) {
    const { start, unit, width, height } = this.lead;
    this.at.dx = Math.min(Math.max(this.at.dx + dx, -start.x / unit), (width - start.x) / unit);
    this.at.dy = Math.min(Math.max(this.at.dy + dy, -start.y / unit), (height - start.y) / unit);
    this.draw();
  }

  tilt(by) {
    if (this.count < 2) return;
    this.frame = Math.min(this.count - 1, Math.max(0, this.frame + by));
    for (const pane of this.panes) pane.frame(this.frame, this.count);
    this.#say("[data-tilt-out]", `${this.frame + 1} / ${this.count}`);
    this.#point();
    this.root.dispatchEvent(new CustomEvent("pane-tilt", { detail: { frame: this.frame } }));
  }

  setBeside(beside) {
    if (this.panes.length < 2) return;
    this.beside = beside;
    this.inPlace = this.lead;
    this.root.querySelector("[data-panes]")?.classList.toggle("in-place", !beside);
    this.#press("[data-beside]", beside);
    for (const key of this.root.querySelectorAll("[data-swap]")) key.hidden = beside;
    this.#figures();
  }

  swap() {
    if (this.beside) return;
    this.inPlace = this.panes[(this.panes.indexOf(this.inPlace) + 1) % this.panes.length];
    this.#figures();
  }

  /** A tap on a picture that takes no mark: swaps the two where one stands in the other's place. */
  tapped() { this.swap(); }

  #figures() {
    for (const pane of this.panes) pane.svg.closest("figure").hidden = !this.beside && pane !== this.inPlace;
    this.draw();
  }

  outline(shown) {
    for (const pane of this.panes) pane.region(shown);
    this.#press("[data-outline]", shown);
  }

  magnify(on) {
    this.magnifies = on;
    this.#press("[data-loupe]", on);
    if (!on) for (const pane of this.panes) pane.leave();
  }

  #click(event) {
    const key = event.target.closest("button");
    if (!key) return;
    const { zoom, tilt } = key.dataset;
    if (zoom === "full") this.full();
    else if (zoom) this.zoomBy(zoom === "in" ? STEP : 1 / STEP);
    if (tilt) this.tilt(Number(tilt));
    if ("beside" in key.dataset) this.setBeside(!this.beside);
    if ("swap" in key.dataset) this.swap();
    if ("outline" in key.dataset) this.outline(key.getAttribute("aria-pressed") !== "true");
    if ("loupe" in key.dataset) this.magnify(!this.magnifies);
    if ("paneAgain" in key.dataset) for (const pane of this.panes) pane.again();
  }

  /** Returns whether the key was one of the bench's. */
  keydown(event) {
    const far = this.lead.view.w / 8 / this.lead.unit;
    const acts = {
      "+": () => this.zoomBy(STEP), "=": () => this.zoomBy(STEP), "-": () => this.zoomBy(1 / STEP), 0: () => this.full(),
      f: () => this.setBeside(!this.beside), s: () => this.swap(), l: () => this.magnify(!this.magnifies),
      o: () => this.#key("[data-outline]")?.click(), Escape: () => this.magnify(false),
      ArrowLeft: () => (event.shiftKey ? this.pan(-far, 0) : this.tilt(-1)),
      ArrowRight: () => (event.shiftKey ? this.pan(far, 0) : this.tilt(1)),
      ArrowUp: event.shiftKey && (() => this.pan(0, -far)),
      ArrowDown: event.shiftKey && (() => this.pan(0, far)),
    };
    const act = acts[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (act) act();
    return Boolean(act);
  }

  #loaded() {
    for (const pane of this.panes) if (pane.ready) this.#failed(pane.svg, false);
    if (this.isReady || !this.panes.every((pane) => pane.ready)) return;
    this.isReady = true;
    this.root.dispatchEvent(new CustomEvent("pane-ready", { bubbles: true }));
  }

  #failed(svg, failed) {
    const note = svg.parentElement.querySelector("[data-pane-failed]");
    if (note) note.hidden = !failed;
  }

  // The lamp over the part: a dot for each frame on an arc, the arm points at the one shown.
  #dial() {
    this.dial = this.root.querySelector("[data-tilt-dial]");
    if (!this.dial || this.count < 2) return;
    this.dots = Array.from({ length: this.count }, (_none, place) => {
      const angle = ((137 - (94 * place) / (this.count - 1)) * Math.PI) / 180;
      return element("circle", { class: "tx-f", cx: 42 + 42.8 * Math.cos(angle), cy: 47.8 - 42.8 * Math.sin(angle) });
    });
    this.arm = element("line", { class: "tx", x1: 42, y1: 31 });
    this.dial.replaceChildren(...this.dots, this.arm, element("line", { class: "tx-on", x1: 30, y1: 32, x2: 54, y2: 32 }));
    let from = null;
    this.dial.addEventListener("pointerdown", (event) => { from = event.clientX; this.dial.setPointerCapture(event.pointerId); });
    this.dial.addEventListener("pointerup", () => { from = null; });
    this.dial.addEventListener("pointermove", (event) => {
      if (from === null || Math.abs(event.clientX - from) < 20) return;
      this.tilt(event.clientX > from ? 1 : -1);
      from = event.clientX;
    });
  }

  #point() {
    if (!this.dots) return;
    this.dots.forEach((dot, place) => set(dot, { r: place === this.frame ? 4.5 : 1.8 }));
    const [x, y] = ["cx", "cy"].map((name) => Number(this.dots[this.frame].getAttribute(name)));
    set(this.arm, { x2: 42 + (x - 42) * 0.7, y2: 31 + (y - 31) * 0.7 });
  }

  #key(selector) { return this.root.querySelector(selector); }
  #say(selector, text) { const out = this.#key(selector); if (out) out.textContent = text; }
  #press(selector, on) { this.#key(selector)?.setAttribute("aria-pressed", String(on)); }
}

/** True where a key is typed into a field and must not work the bench. */
export function isTyping(event) {
  return event.ctrlKey || event.altKey || event.metaKey || event.target.closest?.("input, textarea, select, dialog") !== null;
}

/** True where an element is on the screen and not only kept ready. */
export function isSeen(node) { return node.getClientRects().length > 0; }

/** The benches on the page; one whose root has left the page is dropped. */
export let benches = [];

/** Set up every bench in a part of the page, once; also what htmx brings in later. */
export function setUp(scope) {
  benches = benches.filter((bench) => bench.root.isConnected);
  const known = new Set(benches.map((bench) => bench.root));
  const roots = [...scope.querySelectorAll("[data-bench]"), ...(scope.matches?.("[data-bench]") ? [scope] : [])];
  for (const root of roots) if (!known.has(root)) benches.push(new Bench(root));
}

setUp(document);
document.addEventListener("htmx:load", (event) => setUp(event.target));
document.addEventListener("keydown", (event) => {
  if (isTyping(event) || !benches.length) return;
  const seen = benches.filter((each) => isSeen(each.root));
  const bench = seen.find((each) => each.root.contains(document.activeElement)) ?? seen[0];
  if (bench?.keydown(event)) event.preventDefault();
});
