// Forms: what was just saved, what breaks or the first wrong field gets the focus; sending tells that it takes a while.
const wanted = document.querySelector("#done, #broken, [aria-invalid], .faults");
wanted?.focus();

const told = document.querySelector("[data-busy]");
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!told || form.method !== "post" || !form.closest("main")) return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  told.hidden = false;
  told.textContent = told.dataset.busy;
});
window.addEventListener("pageshow", (event) => {
  if (!event.persisted || !told) return;
  told.textContent = "";
  for (const form of document.forms) delete form.dataset.sent;
});

for (const group of document.querySelectorAll("[data-copies]")) {
  const button = group.querySelector(".copy");
  if (!button) continue;
  button.hidden = false;
  button.addEventListener("click", () => {
    const [first, ...others] = group.querySelectorAll(".form-row:not(.form-heads)");
    const texts = [...first.querySelectorAll("input")].map((input) => input.value);
    for (const row of others.slice(0, Number(group.dataset.copies))) {
      row.querySelectorAll("input").forEach((input, i) => { input.value = texts[i]; });
    }
  });
}
