/* Number keys for badge and PIN: they write into real fields, so keyboard and badge reader work too.

   <form data-keypad>
     <div class="field" data-pad-field><input …></div>      a PIN has data-pins and shows discs
     <button type="button" data-digit="1">1</button> … <button type="button" data-pad-back>
   The field that was used last is the one the keys write into. */

export class Keypad {
  constructor(form) {
    this.form = form;
    this.fields = [...form.querySelectorAll("[data-pad-field]")];
    const empty = this.fields.find((field) => !input(field).value) ?? this.fields.at(-1);
    this.use(empty);
    for (const field of this.fields) {
      field.addEventListener("focusin", () => this.use(field));
      field.addEventListener("click", () => this.use(field));
      input(field).addEventListener("input", () => this.show(field));
      input(field).addEventListener("keydown", (event) => this.#enter(event, field));
      this.show(field);
    }
    form.addEventListener("click", (event) => this.#key(event));
  }

  use(field) {
    this.field = field;
    for (const each of this.fields) each.classList.toggle("here", each === field);
  }

  show(field) {
    const discs = field.querySelector("[data-discs]");
    if (!discs) return;
    const given = input(field).value.length;
    [...discs.children].forEach((disc, place) => { disc.className = place < given ? "f" : "e"; });
  }

  #key(event) {
    const key = event.target.closest("[data-digit], [data-pad-back]");
    if (!key) return;
    const into = input(this.field);
    const longest = into.maxLength > 0 ? into.maxLength : 20;
    into.value = key.dataset.digit ? (into.value + key.dataset.digit).slice(0, longest) : into.value.slice(0, -1);
    this.show(this.field);
  }

  // A badge reader types the number and Enter: go on to the PIN instead of sending half a form.
  #enter(event, field) {
    if (event.key !== "Enter") return;
    const next = this.fields[this.fields.indexOf(field) + 1];
    if (!next || input(next).value) return;
    event.preventDefault();
    this.use(next);
    input(next).focus();
  }
}

function input(field) { return field.querySelector("input"); }
