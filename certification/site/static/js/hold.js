/* The strip that holds what was done for five seconds, so that it can be taken back (partials/undo.html). */

const LENGTH = 200;

export class Hold extends EventTarget {
  /** strip: the element of partials/undo.html. */
  constructor(strip) {
    super();
    this.strip = strip;
    this.seconds = Number(strip.dataset.seconds);
    this.line = strip.querySelector(".u1");
    this.left = strip.querySelector("[data-undo-left]");
    this.still = window.matchMedia("(prefers-reduced-motion: reduce)");
    strip.querySelector("[data-undo-key]").addEventListener("click", () => this.undo());
    // A page that is left keeps the answer: what is held goes out at once.
    window.addEventListener("pagehide", () => this.release());
  }

  get busy() { return Boolean(this.act); }

  /** Show `word`; call `act` when the time is over or the next answer comes, `back` when it is taken back. */
  start(word, act, back = () => {}) {
    this.release();
    Object.assign(this, { act, back });
    this.ends = performance.now() + this.seconds * 1000;
    this.strip.querySelector("[data-undo-what]").textContent = word;
    this.strip.hidden = false;
    this.#step();
  }

  /** Do now what is held. */
  release() {
    const act = this.act;
    if (!act) return;
    this.#stop();
    act();
    this.dispatchEvent(new CustomEvent("released"));
  }

  /** Forget what is held without a word: it is about to be replaced. */
  drop() { if (this.act) this.#stop(); }

  /** Take back what is held. */
  undo() {
    if (!this.act) return;
    this.#stop();
    this.back();
    this.dispatchEvent(new CustomEvent("undone"));
  }

  #step() {
    const left = Math.max(0, this.ends - performance.now());
    const shown = this.still.matches ? Math.ceil(left / 1000) * 1000 : left;
    this.line.setAttribute("x2", ((LENGTH * shown) / (this.seconds * 1000)).toFixed(1));
    this.left.textContent = `· ${Math.ceil(left / 1000)} s`;
    if (left === 0) { this.release(); return; }
    this.timer = setTimeout(() => this.#step(), this.still.matches ? 1000 : 50);
  }

  #stop() {
    clearTimeout(this.timer);
    this.act = null;
    this.strip.hidden = true;
  }
}
