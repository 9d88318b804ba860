/* The check of a screen: a line of one device pixel, and a frame of a bank card's width.

   Inside [data-screen-check]: line[data-hairline] gets the width of one device pixel; [data-card] is drawn as
   wide as [data-card-width] says, which [data-card-by] keys change; [data-density] takes device pixels for 100
   CSS pixels. Changing the width takes the tick off: it was given for another width. */

const HEIGHT = 53.98 / 85.6;

const form = document.querySelector("[data-screen-check]");

function density() { return Math.round(100 * window.devicePixelRatio); }

function measure() {
  form.querySelector("[data-density]").value = density();
  const width = Number(form.querySelector("[data-card-width]").value) || 0;
  const card = form.querySelector("[data-card]"), frame = card.querySelector("rect");
  card.setAttribute("width", width);
  card.setAttribute("height", Math.round(width * HEIGHT));
  frame.setAttribute("width", Math.max(0, width - 2));
  frame.setAttribute("height", Math.max(0, Math.round(width * HEIGHT) - 2));
}

function hairline() {
  for (const place of form.querySelectorAll("[data-place]")) {
    const { width, height } = place.getBoundingClientRect();
    place.setAttribute("viewBox", `0 0 ${width} ${height}`);
    const line = place.querySelector("[data-hairline]");
    if (!line) continue;
    // On a device pixel's middle, so that it is one wide and not two half as dark.
    const pixel = 1 / window.devicePixelRatio, left = place.getBoundingClientRect().left;
    const x = (Math.round((left + width / 2) / pixel) + 0.5) * pixel - left;
    line.setAttribute("stroke-width", pixel);
    for (const name of ["x1", "x2"]) line.setAttribute(name, x);
    line.setAttribute("y1", height * 0.14);
    line.setAttribute("y2", height * 0.86);
  }
}

function draw() { measure(); hairline(); }

if (form) {
  const width = form.querySelector("[data-card-width]");
  form.addEventListener("click", (event) => {
    const by = event.target.closest("[data-card-by]")?.dataset.cardBy;
    if (!by) return;
    width.value = Math.min(Number(width.max), Math.max(Number(width.min), Number(width.value) + Number(by)));
    width.dispatchEvent(new Event("input", { bubbles: true }));
  });
  width.addEventListener("input", () => {
    form.querySelector("[name=card_fits]").checked = false;
    measure();
  });
  window.addEventListener("resize", draw);
  draw();
  document.getElementById("sc-advice")?.focus();
}
