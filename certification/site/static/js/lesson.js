/* A lesson: every defect outlined on request, and the lesson read aloud where the tablet can speak. */

const outline = document.querySelector("[data-outline-all]");
outline?.addEventListener("click", () => {
  const shown = outline.getAttribute("aria-pressed") !== "true";
  outline.setAttribute("aria-pressed", String(shown));
  for (const region of document.querySelectorAll("[data-region]")) region.toggleAttribute("hidden", !shown);
});

const aloud = document.querySelector("[data-read-aloud]");
if (aloud && "speechSynthesis" in window) {
  aloud.hidden = false;
  aloud.addEventListener("click", () => {
    if (speechSynthesis.speaking) { speechSynthesis.cancel(); return; }
    const words = new SpeechSynthesisUtterance(aloud.dataset.readAloud);
    words.lang = document.documentElement.lang;
    speechSynthesis.speak(words);
  });
  window.addEventListener("pagehide", () => speechSynthesis.cancel());
}
