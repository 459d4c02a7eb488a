// What the reader has unfolded stays so when the page is swapped for a newer one.

let open = [];

export function startFolds() {
  document.addEventListener("htmx:before:swap", () => {
    open = [...document.querySelectorAll("details[open][id]")].map((fold) => fold.id);
  });
  document.addEventListener("htmx:after:swap", () => {
    for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  });
}
