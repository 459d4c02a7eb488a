// A patient is chosen as one types: Enter takes the first that was found, up and down walk them. Without this, by links.

// Where the list is not of what stands in the field yet, Enter sends the form instead.
function chooseFirst(event) {
  const input = event.target.closest?.(".find [name=typed]");
  if (!input || event.key !== "Enter") return;
  const found = input.closest(".who-is").querySelector(".found");
  const first = found?.querySelector("a.first");
  if (!first || found.dataset.typed !== input.value.trim()) return;
  event.preventDefault();
  first.click();
}

export function stepTo(event, list, from) {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  const to = step && list[list.indexOf(from) + step];
  if (!to) return;
  event.preventDefault();
  to.focus();
}

function walk(event) {
  const from = event.target.closest?.(".find [name=typed], .found li a");
  const choice = from?.closest(".who-is");
  if (choice) stepTo(event, [choice.querySelector("[name=typed]"), ...choice.querySelectorAll(".found li a")], from);
}

// What stands in a form beside it goes along, sent or not: the page with a patient chosen is of the same.
document.addEventListener("focusin", (event) => {
  const ask = event.target.closest?.(".find, .new-patient")?.querySelector("[name=ask]");
  const beside = document.querySelector("form[data-goes-along]");
  if (ask && beside) ask.value = new URLSearchParams(new FormData(beside)).toString();
});

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  chooseFirst(event);
  walk(event);
});
