/* Behaviour of pages on the floor: answers that wait, the undo strip, number keys.

   import { queue, hold } from "./floor.js" to give an answer:
     hold.start(word, () => queue.add(url, fields));
   The page carries partials/sending.html (data-owner: the person) and partials/undo.html. */

import { Hold } from "./hold.js";
import { Keypad } from "./keypad.js";
import { AnswerQueue } from "./queue.js";

const sending = document.getElementById("sending");
const strip = document.getElementById("undo");

export const queue = sending ? new AnswerQueue({ owner: sending.dataset.owner ?? "", token: csrfToken }) : null;
export const hold = strip ? new Hold(strip) : null;

/** The CSRF token of this page, from where htmx reads it too. */
export function csrfToken() {
  const headers = JSON.parse(document.body.getAttribute("hx-headers") ?? "{}");
  return headers["x-csrftoken"] ?? "";
}

function showSending() {
  const { waiting, refused } = { waiting: queue.waiting, refused: queue.refused.length };
  const [word, shape] = refused
    ? [`${sending.dataset.refused} (${refused})`, "s-stop"]
    : waiting ? [`${sending.dataset.waiting} (${waiting})`, "s-wait"] : [sending.dataset.saved, "s-go"];
  const text = sending.querySelector("span");
  if (text.textContent !== word) text.textContent = word;
  sending.querySelector("use").setAttribute("href", `#${shape}`);
}

if (queue) {
  queue.addEventListener("change", showSending);
  showSending();
  queue.send();
}
for (const form of document.querySelectorAll("form[data-keypad]")) new Keypad(form);
document.documentElement.classList.add("js");
