// Narrows a long list of people to those whose name holds the typed letters; the ticked ones stay.
for (const box of document.querySelectorAll("[data-filter]")) {
  const field = document.createElement("input");
  field.type = "search";
  field.className = "form-control ag-find";
  field.setAttribute("aria-label", box.dataset.filter);
  field.placeholder = box.dataset.filter;
  const rows = [...box.querySelectorAll(".form-check")];
  if (!rows.length) continue;
  field.addEventListener("input", () => {
    const letters = field.value.trim().toLowerCase();
    for (const row of rows) {
      const ticked = row.querySelector("input").checked;
      row.hidden = !ticked && !row.textContent.toLowerCase().includes(letters);
    }
  });
  rows[0].parentElement.before(field);
}
