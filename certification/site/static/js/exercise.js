/* A step of an exercise: the answer goes into the queue, so a lost connection loses nothing.

   <form data-step> with two submit keys named choice, or with data-ladder:
     data-rung="n"          shows that rung; data-move="-1|1" the one before or after
     data-set="accept|reject"   sets the line behind, or before, the rung that is shown
     data-choice            hidden field: how many rungs are accepted; data-keep sends it
   On the keyboard: 1 and 2 choose; of a ladder arrows move, A and R set the line, Enter keeps it; V the next view.
   On the page of an answered pair Enter goes on. */

import { benches, isSeen, isTyping } from "./bench.js";
import { queue } from "./floor.js";

class Step {
  constructor(form) {
    this.form = form;
    this.seen = performance.now();
    this.post = form.getAttribute("action");
    this.benches = benches.filter((bench) => form.contains(bench.root));
    form.addEventListener("click", (event) => this.click(event));
    form.addEventListener("submit", (event) => this.#submit(event));
    queue.addEventListener("saved", ({ detail }) => detail.reply?.next && window.location.assign(detail.reply.next));
    queue.addEventListener("refused", ({ detail }) => this.#refused(detail));
    queue.addEventListener("signed-out", () => this.#panel("signed-out"));
    for (const key of document.querySelectorAll("[data-reload]")) key.addEventListener("click", () => window.location.reload());
    const refused = queue.refused.find((each) => each.url === this.post);
    if (refused) this.#refused(refused);
    else if (queue.fieldsFor(this.post).length) this.#panel("wait");
  }

  get bench() { return this.benches.find((bench) => !bench.root.hidden) ?? this.benches[0]; }

  click(event) {
    const key = event.target.closest("button");
    if (!key) return;
    if ("nextView" in key.dataset) this.#nextView();
    if (key.dataset.zoomAll) this.bench?.zoomBy(key.dataset.zoomAll === "in" ? 1.5 : 1 / 1.5);
  }

  #nextView() {
    const shown = this.benches.indexOf(this.bench);
    this.benches.forEach((bench, place) => { bench.root.hidden = place !== (shown + 1) % this.benches.length; });
    this.bench.draw();
  }

  #submit(event) {
    event.preventDefault();
    const choice = event.submitter?.name === "choice" ? event.submitter.value : this.form.querySelector("[data-choice]")?.value;
    if (choice === undefined || choice === "") return;
    const seconds = ((performance.now() - this.seen) / 1000).toFixed(1);
    queue.add(this.post, { choice, seconds });
    this.#panel("wait");
  }

  #refused({ id, why }) {
    queue.dismiss(id);
    document.querySelector('[data-panel="refused"] [data-why]').textContent = why ?? "";
    this.#panel("refused");
  }

  #panel(name) {
    this.form.hidden = true;
    for (const panel of document.querySelectorAll("[data-panel]")) panel.hidden = panel.dataset.panel !== name;
    document.querySelector(`[data-panel="${name}"] button`)?.focus();
  }

  /** Returns whether the key was one of the step's. */
  key(name) {
    if (name === "v") { this.form.querySelector("[data-next-view]")?.click(); return true; }
    const choice = this.form.querySelector(`button[name=choice][value="${name}"]`);
    choice?.click();
    return Boolean(choice);
  }
}

class Ladder extends Step {
  constructor(form) {
    super(form);
    this.rungs = [...form.querySelectorAll("[data-rung]")];
    this.at = Number(form.dataset.start);
    this.said = form.querySelector("[data-said]");
    this.#show();
    this.#line("");
  }

  click(event) {
    super.click(event);
    const key = event.target.closest("button");
    if (!key) return;
    if (key.dataset.rung) this.#go(Number(key.dataset.rung));
    if (key.dataset.move) this.#go(this.at + Number(key.dataset.move));
    if (key.dataset.set) this.#line(this.at + (key.dataset.set === "accept" ? 1 : 0));
  }

  #go(place) {
    this.at = Math.min(this.rungs.length - 1, Math.max(0, place));
    this.#show();
  }

  #show() {
    for (const bench of this.benches) bench.tilt(this.at - bench.frame);
    this.rungs.forEach((rung, place) => rung.setAttribute("aria-current", String(place === this.at)));
  }

  #line(accepted) {
    const { none, line } = this.said.dataset;
    this.form.querySelector("[data-choice]").value = accepted;
    this.form.querySelector("[data-keep]").disabled = accepted === "";
    this.form.querySelector("[data-accepted]").setAttribute("x2", accepted || 0);
    this.said.textContent = accepted === "" ? none : line.replace("{accepted}", accepted).replace("{rungs}", this.rungs.length);
  }

  key(name) {
    const selector = {
      arrowleft: '[data-move="-1"]', arrowright: '[data-move="1"]', a: '[data-set="accept"]', r: '[data-set="reject"]', enter: "[data-keep]",
    }[name];
    if (!selector) return super.key(name);
    const key = this.form.querySelector(selector);
    if (!key.disabled) key.click();
    return true;
  }
}

const form = document.querySelector("form[data-step]");
const step = form && queue ? new ("ladder" in form.dataset ? Ladder : Step)(form) : null;
// From here on the script answers; before it, the form goes by itself.
if (step) form.dataset.ready = "";

// Before the bench hears it: on a ladder the arrows move along and do not tilt.
document.addEventListener("keydown", (event) => {
  if (isTyping(event) || event.repeat && !event.key.startsWith("Arrow") || event.shiftKey) return;
  const onKey = event.key === "Enter" && event.target.closest("button, a");
  if (onKey) return;
  if (step && isSeen(step.form)) {
    if (step.key(event.key.toLowerCase())) { event.preventDefault(); event.stopPropagation(); }
    return;
  }
  if (event.key === "Enter") document.querySelector("[data-exercise-step] ~ .b-foot [data-next]")?.click();
}, { capture: true });
