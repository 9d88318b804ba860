/* A sitting on this device: one part after another, the next ones kept ready, the last answer held.

   <div data-sitting> holds the part that is judged and the panels of partials; attributes:
   data-parts         address of part 0; the others differ by the number before the last stroke
   data-post          where answers go (booth.js sends them through queue.js)
   data-part          number of the part on the page
   data-open          JSON list of the parts not judged yet
   data-handed-out    last part that may be fetched; data-total, data-judged, data-words for the progress
   data-result        where the result stands
   Parts that are handed out are fetched with their pictures at once, so judging goes on without a connection.
   A part stays on the page, hidden, while its answer can be taken back.
   The page loads this module and not booth.js beside it: imported here, the answers open only when both are there, so
   none is given that nobody hears. */

import "./booth.js";
import { isSeen, isTyping } from "./bench.js";
import { hold, queue } from "./floor.js";

class Sitting {
  constructor(root) {
    this.root = root;
    const { post, open, handedOut, judged, total } = root.dataset;
    Object.assign(this, { post, handedOut: Number(handedOut), judged: Number(judged), total: Number(total) });
    this.parts = new Map();
    const given = new Set(queue.fieldsFor(post).map((fields) => Number(fields.ordinal)));
    this.judged += given.size;
    this.open = JSON.parse(open).filter((ordinal) => !given.has(ordinal));
    this.shown = root.querySelector("[data-booth]");
    this.previous = null;
    root.addEventListener("booth-held", () => this.#held());
    root.addEventListener("booth-undone", () => this.#undone());
    root.addEventListener("booth-sent", (event) => this.#sent(event.detail.fields));
    root.addEventListener("click", (event) => this.#click(event));
    hold?.addEventListener("released", () => this.#forget());
    queue.addEventListener("saved", (event) => this.#saved(event.detail));
    queue.addEventListener("refused", (event) => this.#refused(event.detail));
    queue.addEventListener("signed-out", () => this.#panel("signed-out"));
    document.addEventListener("keydown", (event) => this.#keydown(event));
    this.#progress();
    this.#fetchAhead();
    if (Number(root.dataset.part) !== this.open[0]) this.#showNext();
    const refused = queue.refused.find((each) => each.url === post);
    if (refused) this.#refused(refused);
  }

  get holds() { return this.shown?.dataset.holds !== "no"; }

  /* ----- answers ----- */

  // Held: the next part takes its place, this one waits behind it.
  #held() {
    if (this.previous === this.shown) return;
    this.previous = this.shown;
    this.#step();
    this.#showNext();
  }

  #step() {
    this.open = this.open.filter((ordinal) => ordinal !== Number(this.shown.dataset.ordinal));
    this.judged += 1;
    this.#progress();
  }

  // Taken back: the part before comes to the front again.
  #undone() {
    if (!this.previous) return;
    if (this.shown && this.shown !== this.previous) this.shown.remove();
    this.shown = this.previous;
    this.previous = null;
    this.open = [Number(this.shown.dataset.ordinal), ...this.open];
    this.judged -= 1;
    this.#progress();
    this.#panel("");
    this.#front(this.shown);
  }

  #forget() {
    if (this.previous && this.previous !== this.shown) this.previous.remove();
    this.previous = null;
  }

  // Without five seconds to take it back, as in practice, the answer comes at once.
  #sent(fields) {
    if (this.holds || Number(fields.ordinal) !== Number(this.shown?.dataset.ordinal)) return;
    this.#step();
    this.#panel("wait");
  }

  async #saved({ fields, reply }) {
    if (!reply) return;
    this.handedOut = Math.max(this.handedOut, reply.handed_out ?? 0);
    if (reply.ended) this.open = [];
    this.#fetchAhead();
    if (reply.feedback && Number(fields.ordinal) === Number(this.shown?.dataset.ordinal)) await this.#feedback(reply);
    else if (reply.ended) this.#leave(reply.result);
    else if (!isSeen(this.shown ?? this.root)) this.#showNext();
  }

  #leave(result) {
    hold?.release();
    if (queue.waiting === 0) window.location.assign(result);
    else queue.addEventListener("change", () => { if (queue.waiting === 0) window.location.assign(result); });
  }

  #refused({ id, why }) {
    queue.dismiss(id);
    hold?.drop();
    this.root.querySelector('[data-panel="refused"] [data-why]').textContent = why ?? "";
    this.#panel("refused");
  }

  /* ----- parts ----- */

  #url(ordinal) { return this.root.dataset.parts.replace(/0\/$/, `${ordinal}/`); }

  async #fetchAhead() {
    const wanted = this.open.filter((ordinal) => ordinal <= this.handedOut && !this.parts.has(ordinal));
    for (const ordinal of wanted) {
      if (ordinal === Number(this.shown?.dataset.ordinal)) continue;
      this.parts.set(ordinal, null);
      try {
        const reply = await fetch(this.#url(ordinal), { redirect: "error" });
        if (!reply.ok) throw new Error(String(reply.status));
        this.parts.set(ordinal, await reply.text());
        keepPictures(this.parts.get(ordinal));
      } catch {
        this.parts.delete(ordinal);
        this.again ??= setTimeout(() => { this.again = undefined; this.#fetchAhead(); }, 3000);
        return;
      }
      // While the answer to a practice part is on its way that part is kept: its feedback comes first.
      if (this.waiting && !this.shown && ordinal === this.open[0]) this.#showNext();
    }
  }

  #showNext() {
    const ordinal = this.open[0];
    if (this.shown && this.shown !== this.previous) this.shown.remove();
    if (this.previous) this.previous.hidden = true;
    this.shown = null;
    if (ordinal === undefined) { this.#panel("done"); return; }
    const html = this.parts.get(ordinal);
    if (!html) { this.#panel("wait"); this.#fetchAhead(); return; }
    this.#panel("");
    this.shown = this.#insert(html);
    this.#front(this.shown);
  }

  #insert(html) {
    const part = document.adoptNode(parsed(html).querySelector("[data-booth], [data-feedback]"));
    // The part before may still be on the page: names of elements must not come twice.
    const own = part.dataset.ordinal ?? "result";
    for (const node of part.querySelectorAll("[id]")) {
      const name = node.id;
      node.id = `${name}-${own}`;
      for (const by of part.querySelectorAll(`[aria-labelledby="${name}"]`)) by.setAttribute("aria-labelledby", node.id);
    }
    this.root.prepend(part);
    part.dispatchEvent(new CustomEvent("htmx:load", { bubbles: true }));
    window.htmx?.process(part);
    return part;
  }

  #front(part) {
    part.hidden = false;
    const job = document.querySelector("[data-job]");
    if (job && part.dataset.name) job.textContent = part.dataset.name;
  }

  #panel(name) {
    this.waiting = name === "wait";
    if (name && this.shown) this.shown.hidden = true;
    for (const panel of this.root.querySelectorAll("[data-panel]")) panel.hidden = panel.dataset.panel !== name;
    this.root.querySelector(`[data-panel="${name}"] button`)?.focus();
  }

  /* ----- practice: what the answer came to ----- */

  async #feedback(reply) {
    try {
      const answer = await fetch(reply.feedback, { redirect: "error" });
      if (!answer.ok) throw new Error(String(answer.status));
      const html = await answer.text();
      this.shown.remove();
      this.#panel("");
      this.shown = this.#insert(html);
      this.shown.querySelector("[data-next]")?.focus();
    } catch {
      setTimeout(() => this.#feedback(reply), 3000);
    }
  }

  /* ----- keys ----- */

  #click(event) {
    const key = event.target.closest("button, a");
    if (!key) return;
    if ("next" in key.dataset && key.matches("button")) this.#showNext();
    if ("finish" in key.dataset) hold?.release();
    if ("reload" in key.dataset) window.location.reload();
    if ("outlineNow" in key.dataset) this.#outline(key);
  }

  #outline(key) {
    const shown = key.getAttribute("aria-pressed") !== "true";
    key.setAttribute("aria-pressed", String(shown));
    for (const region of this.root.querySelectorAll("[data-feedback] [data-region]")) region.toggleAttribute("hidden", !shown);
  }

  #keydown(event) {
    if (event.key !== "Enter" || isTyping(event) || event.target.closest("button, a")) return;
    [...this.root.querySelectorAll("[data-next], [data-finish]")].find(isSeen)?.click();
  }

  /* ----- progress ----- */

  #progress() {
    const box = document.querySelector(".b-prog");
    if (!box) return;
    const words = this.root.dataset.words.replace("{done}", this.judged).replace("{total}", this.total);
    box.querySelector("[data-progress]").textContent = words;
    const fine = this.total > 30 ? "done fine" : "done";
    [...box.querySelectorAll("line:not(.base)")].forEach((tick, place) => {
      const done = place < this.judged;
      tick.setAttribute("class", done ? fine : "tk");
      tick.setAttribute("y1", done ? 4 : 7);
      tick.setAttribute("y2", done ? 18 : 15);
    });
  }
}

/** Return the markup of a part as a document of its own, in which nothing loads or runs. */
function parsed(html) {
  return new DOMParser().parseFromString(html, "text/html");
}

/** Fetch the pictures of a part before it is shown; the browser keeps them for an hour. */
function keepPictures(html) {
  for (const pane of parsed(html).querySelectorAll("svg.pane")) {
    const addresses = pane.dataset.frames ? JSON.parse(pane.dataset.frames) : [pane.querySelector("image").getAttribute("href")];
    for (const address of addresses) new Image().src = address;
  }
}

const root = document.querySelector("[data-sitting]");
if (root && queue) new Sitting(root);
