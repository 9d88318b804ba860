/* Answers that wait on this device until the plant has them: own ids, sent in order, counted once.

   An answer is kept in localStorage from the moment it is given until the plant confirms it, so a lost
   connection, a closed page or an empty battery loses nothing. The plant counts an id once, so sending
   again is safe. Answers of one person are never sent under another person's badge. */

const STORE = "witness-line-answers";
const AGAIN_AFTER = [2000, 4000, 8000, 15000, 30000];

export class AnswerQueue extends EventTarget {
  /** owner: id of the person signed in; token: () => the page's CSRF token; store, send: for tests. */
  constructor({ owner, token, store = window.localStorage, send = window.fetch.bind(window) }) {
    super();
    Object.assign(this, { owner, token, store, fetch: send, tries: 0, sending: false, timer: 0 });
    window.addEventListener("online", () => this.send());
    window.addEventListener("storage", (event) => event.key === STORE && this.#tell());
  }

  /** Keep an answer and try to send it. Returns its id. */
  add(url, fields) {
    const entry = { id: crypto.randomUUID(), owner: this.owner, url, fields, made: new Date().toISOString() };
    this.#write([...this.#read(), entry]);
    this.send();
    return entry.id;
  }

  get waiting() { return this.#read().filter((each) => each.owner === this.owner && !each.refused).length; }
  get refused() { return this.#read().filter((each) => each.owner === this.owner && each.refused); }

  /** What this person has given for an address and the plant has not confirmed yet. */
  fieldsFor(url) { return this.#read().filter((each) => each.owner === this.owner && each.url === url).map((each) => each.fields); }

  /** Put a refused answer away once somebody has read why. */
  dismiss(id) { this.#write(this.#read().filter((each) => each.id !== id)); }

  /** Send what waits, oldest first, one at a time; stop at the first that does not get through. */
  async send() {
    if (this.sending) return;
    this.sending = true;
    clearTimeout(this.timer);
    try {
      let entry;
      while ((entry = this.#next())) {
        if (!(await this.#sendOne(entry))) { this.#later(); break; }
        this.tries = 0;
      }
    } finally {
      this.sending = false;
      this.#tell();
    }
  }

  #next() { return this.#read().find((each) => each.owner === this.owner && !each.refused); }

  async #sendOne(entry) {
    let reply;
    try {
      reply = await this.fetch(entry.url, {
        method: "POST",
        headers: { "X-CSRFToken": this.token(), Accept: "application/json" },
        body: new URLSearchParams({ ...entry.fields, answer_id: entry.id, made: entry.made }),
        redirect: "manual",
      });
    } catch {
      return false;
    }
    if (reply.ok) {
      this.dismiss(entry.id);
      this.#emit("saved", { id: entry.id, fields: entry.fields, reply: await readJson(reply) });
      return true;
    }
    // A redirect or 401 is the sign-in page: the badge's time is over, the answer waits for it.
    if (reply.type === "opaqueredirect" || reply.status === 401) { this.#emit("signed-out", {}); return false; }
    if (reply.status === 408 || reply.status === 429 || reply.status >= 500) return false;
    const why = (await readJson(reply))?.error ?? String(reply.status);
    this.#write(this.#read().map((each) => (each.id === entry.id ? { ...each, refused: why } : each)));
    this.#emit("refused", { id: entry.id, fields: entry.fields, why });
    return true;
  }

  #later() {
    const wait = AGAIN_AFTER[Math.min(this.tries++, AGAIN_AFTER.length - 1)];
    this.timer = setTimeout(() => this.send(), wait);
  }

  #read() {
    try { return JSON.parse(this.store.getItem(STORE)) ?? []; } catch { return []; }
  }

  #write(entries) {
    this.store.setItem(STORE, JSON.stringify(entries));
    this.#tell();
  }

  #tell() { this.#emit("change", { waiting: this.waiting, refused: this.refused.length }); }
  #emit(name, detail) { this.dispatchEvent(new CustomEvent(name, { detail })); }
}

async function readJson(reply) {
  try { return await reply.json(); } catch { return null; }
}
