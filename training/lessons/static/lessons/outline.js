// Shows and hides the outline of a defect on a lesson's picture.
for (const button of document.querySelectorAll("[data-outline]")) {
  button.addEventListener("click", () => {
    const outline = button.closest("figure").querySelector(".place");
    const shown = button.getAttribute("aria-pressed") === "true";
    button.setAttribute("aria-pressed", String(!shown));
    outline.toggleAttribute("hidden", shown);
  });
}
