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
  follow(form);
});

// While the form is on its way: how many days are done, and a way to end it. The answer to the form says what came of it.
function follow(form) {
  const job = form.querySelector("[name=job]")?.value;
  const box = form.querySelector(".saving");
  if (!job || !box) return;
  const address = `/set-up/saving/${encodeURIComponent(job)}`;
  const look = async () => {
    const answer = await fetch(address, { headers: { "HX-Request": "true" } }).catch(() => null);
    if (answer?.status === 200) {
      box.querySelector(".saving-state").innerHTML = await answer.text();
      box.hidden = false;
    }
    setTimeout(look, 200);
  };
  box.querySelector(".cancel-saving").addEventListener("click", () => fetch(`${address}/cancel`, { method: "POST" }));
  setTimeout(look, 200);
}
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
