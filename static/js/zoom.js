// Keeps the same minute in the middle, and the same part in focus, when the timeline is swapped for another zoom or a
// new plan. The keys + and − press the neighbouring zoom.

let kept = null;

// Progress and faults are swapped in too, and move nothing.
const swapsDay = (event) => event.detail?.ctx?.target?.id === "main";

const scroller = () => document.querySelector("#timeline .scroller");
const labelWidth = () => document.querySelector("#timeline .label")?.offsetWidth ?? 0;

function remember(event) {
  const box = scroller();
  if (!box || !swapsDay(event)) return;
  const timeline = document.querySelector("#timeline");
  const label = labelWidth();
  const track = box.scrollWidth - label;
  const focused = document.activeElement?.closest?.("#timeline [data-stop]");
  const wide = box.clientWidth - label;
  const all = box.scrollWidth <= box.clientWidth + 1;
  const focusAt = focused ? Number(focused.style.getPropertyValue("--at")) : null;
  const now = document.querySelector("#timeline .now")?.dataset.now;
  const span = Number(timeline.dataset.minutes);
  const middle = all ? (focusAt ?? (now ? Number(now) : null)) : ((box.scrollLeft + wide / 2) / track) * span;
  kept = {
    middle: focusAt ?? middle,
    left: box.scrollLeft,
    zoom: timeline.dataset.zoom,
    key: focused?.dataset.detail,
    link: document.activeElement?.dataset?.zoom,
    page: window.scrollY,
    top: focused?.getBoundingClientRect().top,
  };
}

// The browser holds on to something below when all above it is swapped: the page would jump.
function settle(focused, { page, top }) {
  const moved = focused && top != null ? focused.getBoundingClientRect().top - top : page - window.scrollY;
  if (moved) window.scrollBy({ top: moved, behavior: "instant" });
}

function restore(event) {
  const box = scroller();
  if (!box || !kept || !swapsDay(event)) return;
  if (kept.zoom === document.querySelector("#timeline").dataset.zoom) {
    box.scrollLeft = kept.left;
  } else if (kept.middle != null) {
    const label = labelWidth();
    const span = Number(document.querySelector("#timeline").dataset.minutes);
    box.scrollLeft = (kept.middle / span) * (box.scrollWidth - label) - (box.clientWidth - label) / 2;
  }
  const again =
    (kept.key && document.querySelector(`#timeline [data-stop][data-detail="${CSS.escape(kept.key)}"]`)) ||
    (kept.link && document.querySelector(`.zoom [data-zoom="${CSS.escape(kept.link)}"]`));
  again?.focus({ preventScroll: true });
  settle(again, kept);
  kept = null;
}

function showNow() {
  const box = scroller();
  const now = document.querySelector("#timeline .now");
  if (box && now) box.scrollLeft = now.offsetLeft - box.clientWidth / 2;
}

export function startZoom() {
  showNow();
  document.addEventListener("htmx:before:swap", remember);
  document.addEventListener("htmx:after:swap", restore);
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest?.("input, select, textarea")) return;
    const step = { "+": 1, "=": 1, "-": -1, "−": -1 }[event.key];
    if (!step) return;
    const links = [...document.querySelectorAll(".zoom [data-zoom]")];
    const current = links.findIndex((link) => link.hasAttribute("aria-current"));
    const link = links[current + step];
    if (!link) return;
    event.preventDefault();
    link.click();
  });
}
