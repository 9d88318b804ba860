/* A round magnifying glass over a picture: three times as large, above the finger, beside the pointer's tip. */

const NS = "http://www.w3.org/2000/svg";
const TIMES = 3;
const RADIUS = 84;
const ABOVE_FINGER = 116;
let made = 0;

export class Loupe {
  constructor(svg) {
    this.svg = svg;
    this.id = `loupe-${(made += 1)}`;
    this.group = element("g", { class: "loupe", hidden: "" });
    this.clip = element("circle", {});
    const path = element("clipPath", { id: this.id });
    path.append(this.clip);
    this.image = element("image", {});
    const clipped = element("g", { "clip-path": `url(#${this.id})` });
    clipped.append(element("rect", { class: "loupe-ground" }), this.image);
    this.ground = clipped.firstChild;
    this.rims = [element("circle", { class: "outline-u" }), element("circle", { class: "outline" })];
    this.group.append(path, clipped, ...this.rims);
    svg.append(this.group);
  }

  /** Show the place (x, y) of the picture; `scale` is picture pixels per screen pixel. */
  move(x, y, scale, { finger = false } = {}) {
    const up = finger ? ABOVE_FINGER * scale : 0;
    const source = this.svg.querySelector("image[data-picture]");
    for (const name of ["href", "width", "height"]) this.image.setAttribute(name, source.getAttribute(name));
    this.image.setAttribute("transform", `translate(${x - TIMES * x} ${y - up - TIMES * y}) scale(${TIMES})`);
    for (const circle of [this.clip, ...this.rims]) {
      set(circle, { cx: x, cy: y - up, r: RADIUS * scale });
    }
    const side = 2 * RADIUS * scale;
    set(this.ground, { x: x - side / 2, y: y - up - side / 2, width: side, height: side });
    this.svg.append(this.group);
    this.group.removeAttribute("hidden");
  }

  hide() { this.group.setAttribute("hidden", ""); }
}

export function element(name, attributes) {
  const node = document.createElementNS(NS, name);
  set(node, attributes);
  return node;
}

export function set(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
}
