/* A few words beside a look of the panel: what is typed in one place stands in the other and goes with the answer. */

document.addEventListener("input", (event) => {
  if (!event.target.matches("[data-words]")) return;
  const booth = event.target.closest("[data-booth]");
  for (const field of booth.querySelectorAll("[data-words]")) field.value = event.target.value;
  booth.querySelector("[data-words-kept]").value = event.target.value;
});
