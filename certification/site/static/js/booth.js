/* One part judged: accept or reject, then place, family and action; held for five seconds, then sent.

   The booth is an element with data-booth and
     data-post            where the answer goes
     data-look-seconds    how long the part must have been seen before an answer counts (2)
     data-accepted, data-rejected   the words of the undo strip
   and the class booth-part. Inside it: one data-bench (bench.js) with the class booth-bench, [data-answer="accept|reject"], [data-family="…"], [data-action="…"].
   [data-judging] is what is seen while looking, [data-rejecting] what is seen after "reject"; without
   [data-rejecting] a reject is complete by itself. partials/undo.html and partials/sending.html stand outside it,
   so that the next part can take the booth's place while the last answer is still held: the next answer sends it.
   Fields sent: verdict, x, y, frame, family, action, seconds, and every <input type="hidden"> inside data-booth.
   Events on the booth, bubbling, also for hx-trigger:
     booth-held {fields}      the answer is complete and held: show the next part or the feedback
     booth-undone {fields}    it was taken back: show this part again
     booth-sent {id, fields}  it went into the queue */

import { benches, isTyping } from "./bench.js";
import { hold, queue } from "./floor.js";

class Booth {
  constructor(root) {
    this.root = root;
    this.answer = {};
    this.bench = benches.find((bench) => root.contains(bench.root));
    this.keys = [...root.querySelectorAll("[data-answer]")];
    this.rejecting = [...root.querySelectorAll("[data-rejecting]")];
    for (const key of this.keys) key.disabled = true;
    root.addEventListener("pane-ready", () => this.#open());
    if (!this.bench || this.bench.isReady) this.#open();
    root.addEventListener("click", (event) => this.#click(event));
    root.addEventListener("pane-mark", (event) => this.#give({ x: event.detail.x, y: event.detail.y }));
  }

  press(verdict) { this.root.querySelector(`[data-answer="${verdict}"]:not([disabled])`)?.click(); }

  // Looking begins when the pictures are there.
  #open() {
    if (this.seen) return;
    this.seen = performance.now();
    const look = 1000 * Number(this.root.dataset.lookSeconds ?? 2);
    setTimeout(() => { for (const key of this.keys) key.disabled = false; }, look);
  }

  #click(event) {
    const key = event.target.closest("[data-answer], [data-family], [data-action]");
    if (!key || key.disabled) return;
    const kind = ["answer", "family", "action"].find((each) => key.dataset[each]);
    for (const each of this.root.querySelectorAll(`[data-${kind}]`)) {
      each.setAttribute("aria-pressed", String(each === key));
    }
    if (kind === "answer") this.#verdict(key.dataset.answer);
    else this.#give({ [kind]: key.dataset[kind] });
  }

  #verdict(verdict) {
    this.answer = { verdict, seconds: ((performance.now() - this.seen) / 1000).toFixed(1) };
    if (verdict === "reject" && this.rejecting.length) this.#stage(true);
    else this.#complete();
  }

  #give(part) {
    Object.assign(this.answer, part);
    const { verdict, x, family, action } = this.answer;
    if (verdict === "reject" && x !== undefined && family && action) this.#complete();
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
    if (!this.bench) return;
    this.bench.lead.svg.toggleAttribute("data-can-mark", rejecting);
    if (rejecting) this.wasBeside = this.bench.beside;
    this.bench.setBeside(rejecting ? false : this.wasBeside ?? this.bench.beside);
  }

  #complete() {
    const fields = { ...this.answer, frame: this.bench?.frame ?? 0 };
    for (const input of this.root.querySelectorAll("input[type=hidden][name]")) fields[input.name] = input.value;
    const word = fields.verdict === "accept" ? this.root.dataset.accepted : this.root.dataset.rejected;
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
    this.answer = {};
    for (const key of this.root.querySelectorAll("[data-answer], [data-family], [data-action]")) {
      key.setAttribute("aria-pressed", "false");
    }
    for (const pane of this.bench?.panes ?? []) pane.unmark();
    this.#stage(false);
    this.#tell("booth-undone", { fields });
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
  const verdict = { a: "accept", r: "reject" }[event.key.toLowerCase()];
  if (isTyping(event) || !verdict || event.repeat) return;
  known.get(document.querySelector("[data-booth]"))?.press(verdict);
});
