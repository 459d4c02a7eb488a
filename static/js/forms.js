// Forms: what was just saved, what breaks or the first wrong field gets the focus; sending tells how far it is.
// Everything also works without this: the form is then sent by the browser itself.

function prepare() {
  document.querySelector("#done, #broken, [aria-invalid], .faults")?.focus();
  copyDown();
}

function copyDown() {
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
}

// Each look asks how many days are done; the answer to the form itself says what came of it.
function follow(form) {
  const job = form.querySelector("[name=job]")?.value;
  const box = form.querySelector(".saving");
  if (!job || !box) return () => {};
  const address = `/set-up/saving/${encodeURIComponent(job)}`;
  const look = async () => {
    const answer = await fetch(address, { headers: { "HX-Request": "true" } }).catch(() => null);
    if (answer?.status !== 200) return;
    box.querySelector(".saving-state").innerHTML = await answer.text();
    box.hidden = false;
  };
  box.querySelector(".cancel-saving").onclick = () => fetch(`${address}/cancel`, { method: "POST" });
  const timer = setInterval(look, 200);
  return () => clearInterval(timer);
}

async function send(form, submitter) {
  const told = form.querySelector("[data-busy]");
  told.hidden = false;
  told.textContent = told.dataset.busy;
  const stop = follow(form);
  const fields = new FormData(form, submitter);
  const body = form.enctype === "multipart/form-data" ? fields : new URLSearchParams(fields);
  try {
    const answer = await fetch(submitter?.getAttribute("formaction") ?? form.getAttribute("action"), { method: "POST", body });
    if (answer.redirected) return location.assign(answer.url);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    document.title = page.title;
    document.querySelector("#main").replaceWith(page.querySelector("#main"));
    scrollTo(0, 0);
    prepare();
  } catch {
    told.textContent = "";
    delete form.dataset.sent;
    form.submit();
  } finally {
    stop();
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  const told = document.querySelector("[data-busy]");
  if (form.method !== "post" || !told || !form.closest("main")) return;
  const ours = form.contains(told);
  if (ours || form.dataset.sent) event.preventDefault();
  if (form.dataset.sent) return;
  form.dataset.sent = "yes";
  if (ours) send(form, event.submitter);
  else told.textContent = told.dataset.busy;
});
window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  for (const form of document.forms) delete form.dataset.sent;
  for (const told of document.querySelectorAll("[data-busy]")) told.textContent = "";
});
prepare();
