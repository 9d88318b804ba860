// A button with data-print opens the browser's print dialogue for the page it stands on.
for (const button of document.querySelectorAll("[data-print]")) {
  button.addEventListener("click", () => window.print());
}
