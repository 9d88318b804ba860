/* One part judged: accept or reject, then place, family and action; held for five seconds, then sent.

   The booth is an element with data-booth and
     data-post            where the answer goes
     data-look-seconds    how long the part must have been seen before an answer counts (2)
     data-accepted, data-rejected   the words of the undo strip
     data-place           "no" where a reject asks for no place on the picture
   and the class booth-part. Inside it: one data-bench (bench.js) with the class booth-bench, [data-answer="accept|reject"], [data-family="…"], [data-action="…"].
   [data-judging] is what is seen while looking, [data-rejecting] what is seen after "reject"; without
   [data-rejecting] a reject is complete by itself. partials/undo.html and partials/sending.html stand outside it,
   so that the next part can take the booth's place while the last answer is still held: the next answer sends it.
   On the keyboard: A and R, 1 to 4 the four actions, V the next view, Backspace back to the part, U takes back.
   Fields sent: verdict, x, y, view, frame, family, action, seconds, and every <input type="hidden"> inside data-booth.
   Events on the booth, bubbling, also for hx-trigger:
     booth-held {fields}      the answer is complete and held: show the next part or the feedback
     booth-undone {fields}    it was taken back: show this part again
     booth-sent {id, fields}  it went into the queue */

import { benches, isSeen, isTyping } from "./bench.js";
import { hold, queue } from "./floor.js";

class Booth {
  constructor(root) {
    this.root = root;
    this.answer = {};
    this.benches = benches.filter((bench) => root.contains(bench.root));
    this.page = 1;
    this.keys = [...root.querySelectorAll("[data-answer]")];
    this.rejecting = [...root.querySelectorAll("[data-rejecting]")];
    root.addEventListener("pane-ready", () => this.#open());
    if (!this.bench || this.bench.isReady) this.#open();
    root.addEventListener("click", (event) => this.#click(event));
    root.addEventListener("pane-mark", (event) => this.#place(event));
    this.#turn(0);
  }

  /** The bench of the view that is shown. */
  get bench() { return this.benches.find((bench) => !bench.root.hidden) ?? this.benches[0]; }

  get #asksPlace() { return this.root.dataset.place !== "no"; }

  /** Press a key of the booth as if it were tapped, if it is there and open. */
  press(selector) {
    const key = [...this.root.querySelectorAll(selector)].find((each) => isSeen(each) && !each.disabled);
    key?.click();
    return Boolean(key);
  }

  // Looking begins when the pictures are there.
  #open() {
    if (this.seen) return;
    this.seen = performance.now();
    const look = 1000 * Number(this.root.dataset.lookSeconds ?? 2);
    setTimeout(() => { for (const key of this.keys) key.disabled = false; }, look);
  }

  #click(event) {
    const key = event.target.closest("button");
    if (!key || key.disabled) return;
    if ("back" in key.dataset) this.#reset();
    if ("whole" in key.dataset) this.#whole();
    if ("nextView" in key.dataset) this.#nextView();
    if ("familyPage" in key.dataset) this.#turn(1);
    if (!key.matches("[data-answer], [data-family], [data-action]")) return;
    const kind = ["answer", "family", "action"].find((each) => key.dataset[each]);
    for (const each of this.root.querySelectorAll(`[data-${kind}]`)) {
      each.setAttribute("aria-pressed", String(each === key));
    }
    if (kind === "answer") this.#verdict(key.dataset.answer);
    else this.#give({ [kind]: key.dataset[kind] });
  }

  #place(event) {
    const bench = event.target.closest("[data-bench]");
    for (const other of this.benches) if (other.root !== bench) for (const pane of other.panes) pane.unmark();
    this.#pressWhole(false);
    this.#give({ x: event.detail.x, y: event.detail.y, view: bench.dataset.view ?? 0 });
  }

  #whole() {
    for (const bench of this.benches) for (const pane of bench.panes) pane.unmark();
    this.#pressWhole(true);
    this.#give({ x: "", y: "" });
  }

  #pressWhole(on) {
    for (const key of this.root.querySelectorAll("[data-whole]")) key.setAttribute("aria-pressed", String(on));
  }

  #nextView() {
    const shown = this.benches.indexOf(this.bench);
    this.benches.forEach((bench, place) => { bench.root.hidden = place !== (shown + 1) % this.benches.length; });
    this.bench.draw();
  }

  // More families than fit stand on further pages of the pick.
  #turn(by) {
    const tiles = [...this.root.querySelectorAll("[data-page]")];
    const last = Math.max(1, ...tiles.map((tile) => Number(tile.dataset.page)));
    this.page = this.page + by > last ? 1 : this.page + by;
    for (const tile of tiles) tile.hidden = Number(tile.dataset.page) !== this.page;
    const number = this.root.querySelector("[data-page-number]");
    if (number) number.textContent = this.page;
  }

  #verdict(verdict) {
    // The next answer begins: what is held of the part before goes out.
    if (!this.held) hold?.release();
    this.answer = { verdict, seconds: ((performance.now() - this.seen) / 1000).toFixed(1) };
    if (verdict === "reject" && this.rejecting.length) this.#stage(true);
    else this.#complete();
  }

  #give(part) {
    Object.assign(this.answer, part);
    const { verdict, x, family, action } = this.answer;
    const placed = x !== undefined || !this.#asksPlace;
    if (verdict === "reject" && placed && family && action) this.#complete();
  }

  #stage(rejecting) {
    for (const part of this.rejecting) part.hidden = !rejecting;
    for (const part of this.root.querySelectorAll("[data-judging]")) part.hidden = rejecting;
    this.root.classList.toggle("is-rejecting", rejecting);
    this.#mark(rejecting);
    if (rejecting) this.root.querySelector("[data-rejecting] [tabindex]")?.focus();
  }

  // The place is tapped on the part alone, as large as it can be; the first piece comes back afterwards.
  #mark(rejecting) {
    for (const bench of this.benches) {
      bench.lead.svg.toggleAttribute("data-can-mark", rejecting && this.#asksPlace);
      if (rejecting) bench.wasBeside = bench.beside;
      bench.setBeside(rejecting ? false : bench.wasBeside ?? bench.beside);
    }
  }

  #complete() {
    const fields = { ...this.answer, frame: this.bench?.frame ?? 0 };
    for (const input of this.root.querySelectorAll("input[type=hidden][name]")) fields[input.name] = input.value;
    const word = fields.verdict === "accept" ? this.root.dataset.accepted : this.root.dataset.rejected;
    if (this.root.dataset.holds === "no") { this.#send(fields); return; }
    // A change of mind about family or action while this part is held replaces what is held.
    if (this.held) hold.drop();
    this.held = true;
    hold.start(word, () => this.#send(fields), () => this.#undo(fields));
    this.#tell("booth-held", { fields });
  }

  #send(fields) {
    this.held = false;
    this.#tell("booth-sent", { id: queue.add(this.root.dataset.post, fields), fields });
  }

  // Taken back: everything is open again, and the part has been seen already.
  #undo(fields) {
    this.held = false;
    this.#reset();
    this.#tell("booth-undone", { fields });
  }

  #reset() {
    this.answer = {};
    for (const key of this.root.querySelectorAll("[data-answer], [data-family], [data-action], [data-whole]")) {
      key.setAttribute("aria-pressed", "false");
    }
    for (const bench of this.benches) for (const pane of bench.panes) pane.unmark();
    this.#stage(false);
  }

  #tell(name, detail) { this.root.dispatchEvent(new CustomEvent(name, { bubbles: true, detail })); }
}

const known = new WeakMap();

function setUp(scope) {
  const roots = [...scope.querySelectorAll("[data-booth]"), ...(scope.matches?.("[data-booth]") ? [scope] : [])];
  for (const root of roots) if (!known.has(root)) known.set(root, new Booth(root));
}

setUp(document);
document.addEventListener("htmx:load", (event) => setUp(event.target));
document.addEventListener("keydown", (event) => {
  if (isTyping(event) || event.repeat) return;
  if (event.key.toLowerCase() === "u" && hold?.busy) { hold.undo(); return; }
  const selector = {
    a: '[data-answer="accept"]', r: '[data-answer="reject"]', v: "[data-next-view]", backspace: "[data-back]",
    1: '[data-action="run"]', 2: '[data-action="trim"]', 3: '[data-action="tag"]', 4: '[data-action="call"]',
  }[event.key.toLowerCase()];
  if (!selector) return;
  known.get([...document.querySelectorAll("[data-booth]")].find(isSeen))?.press(selector);
});
