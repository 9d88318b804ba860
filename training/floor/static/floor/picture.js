// Where a first piece has no picture yet, its place says so instead of showing a broken image.
for (const box of document.querySelectorAll("[data-picture]")) {
  const image = box.querySelector("img");
  const say = () => {
    box.classList.add("is-missing");
    box.replaceChildren(image.dataset.missing);
  };
  if (image.complete && image.naturalWidth === 0) say();
  image.addEventListener("error", say);
}
