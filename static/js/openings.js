// The Openings page by keyboard. Everything on it also works without this, by links and forms.

import { stepTo } from "./choosing.js";

// What was typed into the form stands in the address by then; a patient who is chosen next keeps it.
document.addEventListener("focusin", (event) => {
  const form = event.target.closest?.(".find, .new-patient");
  const ask = form?.querySelector("[name=ask]");
  if (ask && location.search) ask.value = location.search.slice(1);
});

// Enter in the form's fields goes on to the best start.
function goOn(event) {
  if (event.key !== "Enter" || !event.target.closest?.("#ask :is(select, input)")) return false;
  const first = document.querySelector("#answers .offers a.first");
  if (!first) return false;
  event.preventDefault();
  first.focus();
  return true;
}

// Up and down walk the starts.
function walk(event) {
  const from = event.target.closest?.(".offers a, .strips-list a");
  if (from) stepTo(event, [...document.querySelectorAll(".offers a, .strips-list a")], from);
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (!goOn(event)) walk(event);
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
