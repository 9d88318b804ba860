/* What goes with the limits in the booth.

   [data-pace-s] runs along its line once a second from when its part is first on the screen, and stays at the end:
   nothing stops, nothing is counted down. [data-aloud] is shown where the browser can speak, and reads its text in the
   language of the page. */

import { isSeen } from "./bench.js";

const WIDTH = 600;
const begun = new WeakMap();

function pace() {
  for (const bar of document.querySelectorAll("[data-pace-s]")) {
    if (!isSeen(bar)) continue;
    // Views of one part share its beginning.
    const part = bar.closest("[data-booth]") ?? bar;
    if (!begun.has(part)) begun.set(part, performance.now());
    const share = Math.min(1, (performance.now() - begun.get(part)) / (1000 * Number(bar.dataset.paceS)));
    bar.querySelector("[data-pace-run]").setAttribute("x2", Math.round(WIDTH * share));
  }
}

function open(scope) {
  if (!window.speechSynthesis) return;
  for (const key of scope.querySelectorAll("[data-aloud]")) key.hidden = false;
}

function speak(text) {
  window.speechSynthesis.cancel();
  const words = new SpeechSynthesisUtterance(text);
  words.lang = document.documentElement.lang;
  window.speechSynthesis.speak(words);
}

document.addEventListener("click", (event) => {
  const key = event.target.closest("[data-aloud]");
  if (key) speak(key.dataset.aloud);
});
document.addEventListener("htmx:load", (event) => open(event.target));
open(document);
pace();
setInterval(pace, 1000);
