// A form is sent once: a second press, or Enter held down, does nothing while its answer is on the way.

const WAIT_MS = 5000;

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post") return;
  if (form.hasAttribute("data-sent")) {
    event.preventDefault();
    return;
  }
  form.setAttribute("data-sent", "");
  setTimeout(() => form.removeAttribute("data-sent"), WAIT_MS);
});

// A page that one comes back to can be sent again.
addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) form.removeAttribute("data-sent");
});
