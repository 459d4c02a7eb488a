// The Openings page by keyboard. Everything on it also works without this, by links and forms.

// What was typed into the form stands in the address by then; a patient who is chosen next keeps it.
document.addEventListener("focusin", (event) => {
  const form = event.target.closest?.(".find, .new-patient");
  const ask = form?.querySelector("[name=ask]");
  if (ask && location.search) ask.value = location.search.slice(1);
});

// Enter takes the first patient of what was typed; where the list is not of that yet, the form is sent instead.
function chooseFirst(event) {
  const input = event.target.closest?.(".find [name=typed]");
  if (!input || event.key !== "Enter") return false;
  const found = input.closest(".who-is").querySelector(".found");
  const first = found?.querySelector("a.first");
  if (!first || found.dataset.typed !== input.value.trim()) return false;
  event.preventDefault();
  first.click();
  return true;
}

// Enter in the form's fields goes on to the best start.
function goOn(event) {
  if (event.key !== "Enter" || !event.target.closest?.("#ask :is(select, input)")) return false;
  const first = document.querySelector("#answers .offers a.first");
  if (!first) return false;
  event.preventDefault();
  first.focus();
  return true;
}

// Up and down walk the patients found, and the starts.
function walk(event) {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!step) return;
  const from = event.target.closest?.(".find [name=typed], .found li a, .offers a, .strips-list a");
  if (!from) return;
  const list = from.closest(".who-is")
    ? [from.closest(".who-is").querySelector("[name=typed]"), ...from.closest(".who-is").querySelectorAll(".found li a")]
    : [...document.querySelectorAll(".offers a, .strips-list a")];
  const to = list[list.indexOf(from) + step];
  if (!to) return;
  event.preventDefault();
  to.focus();
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (!chooseFirst(event) && !goOn(event)) walk(event);
});
// After trouble the next best start is at hand; else the one thing that comes next.
const next = [".trouble .offers a.first", "#book", "#next-patient", "[autofocus]"];
const first = next.map((selector) => document.querySelector(selector)).find(Boolean);
// Without trouble the page is read from its top, the best start being one press away all the same.
if (first) first.focus();
else document.querySelector("#answers .offers a.first")?.focus({ preventScroll: true });

// On a narrow screen the day scrolls: the visit that is proposed is what one wants to see of it.
const box = document.querySelector(".chosen .scroller");
const block = box?.querySelector(".block.proposed");
if (block) box.scrollLeft = block.offsetLeft - box.clientWidth / 3;
