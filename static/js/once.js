// A form is sent once: a second press, or Enter held down, does nothing while its answer is on the way.

const WAIT_MS = 5000;
let sent = new WeakSet();

// On the window, so that whatever sends a form by itself has said so by then.
addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post") return;
  if (sent.has(form)) {
    event.preventDefault();
    return;
  }
  sent.add(form);
  setTimeout(() => sent.delete(form), WAIT_MS);
});

// A page that one comes back to can be sent again.
addEventListener("pageshow", () => {
  sent = new WeakSet();
});
