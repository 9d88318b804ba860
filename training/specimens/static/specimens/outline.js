/* Outlining a defect and setting the scale on a picture. Everything a tap does stands as text in the forms beside
   the picture, so it can be typed, corrected and sent without this script.

   Root: the element with data-outline-tool; inside it one bench (js/bench.js), the forms data-form="outline|scale",
   and keys data-tool, data-undo-point, data-next-outline, data-clear. What is said stands in the root's data-… texts. */

import { benches } from "../js/bench.js";
import { element } from "../js/loupe.js";

const POINT = /(-?\d+(?:\.\d+)?)\s*,\s*(-?\d+(?:\.\d+)?)/g;

/** Outlines in a text: one on each line, points as "x,y". */
export function readOutlines(text) {
  return text.split("\n").map((line) => [...line.matchAll(POINT)].map(([, x, y]) => [Number(x), Number(y)]))
    .filter((points) => points.length);
}

export function writeOutlines(outlines) {
  return outlines.filter((points) => points.length)
    .map((points) => points.map(([x, y]) => `${x},${y}`).join(" ")).join("\n");
}

/** Whether a side of the closed outline crosses another; touching counts as well. */
export function crosses(points) {
  const count = points.length;
  const side = (a, b, p) => Math.sign((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]));
  for (let i = 0; i < count; i += 1) {
    for (let j = i + 2; j < count; j += 1) {
      if (i === 0 && j === count - 1) continue;
      const [a, b, c, d] = [points[i], points[i + 1], points[j], points[(j + 1) % count]];
      if (side(a, b, c) * side(a, b, d) <= 0 && side(c, d, a) * side(c, d, b) <= 0) return true;
    }
  }
  return false;
}

export class OutlineTool {
  constructor(root, bench) {
    this.root = root;
    this.pane = bench.lead;
    this.svg = this.pane.svg;
    this.text = root.querySelector("[data-points]");
    this.ends = [];
    this.tool = "outline";
    this.layer = element("g", { "data-draft": "" });
    this.svg.append(this.layer);
    this.read();
    root.querySelector("[data-needs-script]").hidden = false;
    this.text.addEventListener("input", () => { this.read(); this.draw(); });
    root.addEventListener("click", (event) => this.click(event));
    // A tap sets a point at once; keys move the cross, and Enter sets the point.
    this.svg.addEventListener("pointerdown", () => { this.byKey = false; }, { capture: true });
    this.svg.addEventListener("keydown", (event) => this.keydown(event), { capture: true });
    this.svg.addEventListener("pane-mark", ({ detail }) => { this.cross = detail; if (!this.byKey) this.set(detail); });
    this.fields = ["x1", "y1", "x2", "y2"].map((name) => root.querySelector(`[name=${name}]`));
    for (const field of this.fields) field.addEventListener("input", () => { this.readEnds(); this.draw(); });
    this.readEnds();
    this.draw();
  }

  read() { this.outlines = readOutlines(this.text.value); if (!this.outlines.length) this.outlines = [[]]; }
  write() { this.text.value = writeOutlines(this.outlines); }
  get current() { return this.outlines[this.outlines.length - 1]; }

  readEnds() {
    const [x1, y1, x2, y2] = this.fields.map((field) => (field.value === "" ? NaN : Number(field.value)));
    this.ends = [[x1, y1], [x2, y2]].filter((end) => end.every(Number.isFinite));
  }

  set({ x, y }) {
    if (this.tool === "scale") {
      this.ends = this.ends.length === 2 ? [[x, y]] : [...this.ends, [x, y]];
      const values = [...this.ends.flat(), "", ""].slice(0, 4);
      this.fields.forEach((field, place) => { field.value = values[place]; });
      if (this.ends.length === 2) this.root.querySelector("[name=millimetres]").focus({ preventScroll: true });
    } else {
      this.current.push([x, y]);
      this.write();
    }
    this.draw();
  }

  undo() {
    if (this.tool === "scale") {
      this.ends.pop();
      const values = [...this.ends.flat(), "", "", "", ""].slice(0, 4);
      this.fields.forEach((field, place) => { field.value = values[place]; });
    } else {
      if (!this.current.length && this.outlines.length > 1) this.outlines.pop();
      this.current.pop();
      this.write();
    }
    this.draw();
  }

  next() { if (this.current.length > 2) this.outlines.push([]); this.draw(); }

  clear() {
    if (this.tool === "scale") { this.ends = []; this.fields.forEach((field) => { field.value = ""; }); }
    else { this.outlines = [[]]; this.write(); }
    this.pane.unmark();
    this.draw();
  }

  click(event) {
    const key = event.target.closest("button");
    if (!key) return;
    if (key.dataset.tool) {
      this.tool = key.dataset.tool;
      for (const each of this.root.querySelectorAll("[data-tool]")) each.setAttribute("aria-pressed", String(each === key));
      this.draw();
    }
    if ("undoPoint" in key.dataset) this.undo();
    if ("nextOutline" in key.dataset) this.next();
    if ("clear" in key.dataset) this.clear();
  }

  keydown(event) {
    if (event.key.startsWith("Arrow")) { this.byKey = true; return; }
    if (event.key === "Enter" && this.cross) this.set(this.cross);
    else if (event.key === "Backspace") this.undo();
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  draw() {
    const shapes = this.outlines.flatMap((points, place) => this.#outline(points, place === this.outlines.length - 1));
    if (this.ends.length === 2) shapes.push(...pair("draft", "M" + this.ends.map((end) => end.join(" ")).join("L")));
    this.layer.replaceChildren(...shapes, ...(this.tool === "scale" ? this.ends.flatMap((end) => dot(end, false)) : []));
    this.#say();
  }

  #outline(points, open) {
    if (!points.length) return [];
    const path = "M" + points.map((point) => point.join(" ")).join("L") + (points.length > 2 ? "Z" : "");
    const bad = points.length > 2 && crosses(points) ? " bad" : "";
    const dots = points.flatMap((point, place) => dot(point, open && place === points.length - 1));
    return [...pair("draft" + bad, path), ...dots];
  }

  #say() {
    const { none, count, crossing, ends, length } = this.root.dataset;
    const say = this.root.querySelector("[data-say]");
    if (this.tool === "scale") say.textContent = this.ends.length === 2 ? length : ends;
    else if (!this.current.length) say.textContent = none;
    else say.textContent = `${count} ${this.current.length}` + (crosses(this.current) && this.current.length > 2 ? ` · ${crossing}` : "");
  }
}

// White on black, so that it shows on any plastic.
function pair(name, path) {
  return [element("path", { class: "draft-u", d: path }), element("path", { class: name, d: path })];
}

// A line of no length with round ends is a dot of one size at every zoom.
function dot([x, y], last) {
  const at = { x1: x, y1: y, x2: x, y2: y };
  return [element("line", { ...at, class: "dot-u" }), element("line", { ...at, class: last ? "dot last" : "dot" })];
}

for (const root of document.querySelectorAll("[data-outline-tool]")) {
  const bench = benches.find((each) => root.contains(each.root));
  if (bench) new OutlineTool(root, bench);
}
