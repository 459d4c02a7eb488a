// A press lands at once, or waits here until the connection is back. Each has a key, so that sent twice it counts once.
// What waits names no patient: visits go by their numbers. It is sent only while the same person is signed in.

const KEY = "channelday-presses";
const AGAIN_MS = 2000;
let sending = false;

const kept = () => JSON.parse(localStorage.getItem(KEY) ?? "[]");
const keep = (presses) => localStorage.setItem(KEY, JSON.stringify(presses));
const who = () => document.querySelector("main[data-who]")?.dataset.who ?? "";
const mine = () => kept().filter((one) => one.who === who());

function tell(offline) {
  const place = document.querySelector("#waiting");
  if (!place) return;
  const count = mine().length;
  place.hidden = !count || !offline;
  place.textContent = place.hidden ? "" : `No connection: ${count === 1 ? "1 press waits" : `${count} presses wait`} and will be sent.`;
}

function show(html, address) {
  const fresh = new DOMParser().parseFromString(html, "text/html").querySelector("#main");
  const main = document.querySelector("#main");
  if (!fresh || !main) return location.assign(address);
  const open = [...main.querySelectorAll("details[open][id]")].map((fold) => fold.id);
  const connection = main.querySelector("#changes");
  if (connection) fresh.querySelector("#changes")?.replaceWith(connection);
  main.replaceChildren(...fresh.childNodes);
  for (const name of ["data-now", "data-who"]) main.setAttribute(name, fresh.getAttribute(name) ?? "");
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  window.htmx?.process(main);
  document.dispatchEvent(new Event("htmx:after:swap"));
  document.querySelector("#faults")?.scrollIntoView({ block: "center" });
}

async function send(press) {
  const body = new URLSearchParams(press.fields);
  body.set("ago", String(Math.max(0, Math.round((Date.now() - press.at) / 1000))));
  const answer = await fetch(press.address, { method: "POST", body, headers: { Accept: "text/html" } });
  if (answer.status >= 500) throw new Error("the server cannot take it now");
  return answer;
}

async function flush() {
  if (sending) return;
  sending = true;
  try {
    for (let next = mine()[0]; next; next = mine()[0]) {
      const answer = await send(next);
      keep(kept().filter((one) => one.key !== next.key));
      const html = await answer.text();
      if (next.page === location.pathname || answer.status >= 400) show(html, next.page);
    }
    tell(false);
  } catch {
    tell(true);
    setTimeout(flush, AGAIN_MS);
  } finally {
    sending = false;
  }
}

export function startPresses() {
  document.addEventListener("submit", (event) => {
    const form = event.target.closest?.("form[data-press]");
    if (!form) return;
    event.preventDefault();
    const fields = Object.fromEntries(new FormData(form, event.submitter));
    const press = { key: fields.key, fields, address: form.getAttribute("action"), at: Date.now(), who: who(), page: location.pathname };
    if (kept().some((one) => one.key === press.key)) return;
    keep([...kept(), press]);
    event.submitter?.classList.add("sent");
    flush();
  });
  window.addEventListener("online", flush);
  flush();
}
