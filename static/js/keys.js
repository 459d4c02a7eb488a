// The timeline is one stop of the Tab key; arrows walk from part to part. Left and right: by time along a rail.
// Up and down: to the nearest part of the rail above or below. Home and End: the rail's first and last.

const stops = () => [...document.querySelectorAll("#timeline [data-stop]")].filter((stop) => stop.offsetParent !== null);

function rove(to) {
  for (const stop of document.querySelectorAll("#timeline [data-stop]")) stop.tabIndex = stop === to ? 0 : -1;
}

function rails() {
  const found = new Map();
  for (const stop of stops()) {
    const rail = stop.closest(".rail");
    if (!found.has(rail)) found.set(rail, []);
    found.get(rail).push(stop);
  }
  const at = (stop) => Number(stop.style.getPropertyValue("--at"));
  for (const row of found.values()) row.sort((a, b) => at(a) - at(b));
  return [...found.values()];
}

function nearest(row, stop) {
  const middle = (one) => Number(one.style.getPropertyValue("--at")) + Number(one.style.getPropertyValue("--for")) / 2;
  return row.reduce((best, one) => (Math.abs(middle(one) - middle(stop)) < Math.abs(middle(best) - middle(stop)) ? one : best));
}

function next(stop, key) {
  const rows = rails();
  const r = rows.findIndex((row) => row.includes(stop));
  if (r < 0) return null;
  const i = rows[r].indexOf(stop);
  if (key === "ArrowRight") return rows[r][i + 1] ?? rows[r + 1]?.[0];
  if (key === "ArrowLeft") return rows[r][i - 1] ?? rows[r - 1]?.at(-1);
  if (key === "ArrowDown") return rows[r + 1] && nearest(rows[r + 1], stop);
  if (key === "ArrowUp") return rows[r - 1] && nearest(rows[r - 1], stop);
  if (key === "Home") return rows[r][0];
  if (key === "End") return rows[r].at(-1);
  return null;
}

export function startKeys() {
  const begin = () => {
    const all = stops();
    if (all.length) rove(all.find((stop) => stop === document.activeElement) ?? all[0]);
  };
  begin();
  document.addEventListener("htmx:after:swap", begin);
  document.addEventListener("focusin", (event) => {
    if (event.target.matches?.("#timeline [data-stop]")) rove(event.target);
  });
  document.addEventListener("keydown", (event) => {
    const stop = event.target.closest?.("#timeline [data-stop]");
    if (!stop || event.ctrlKey || event.metaKey || event.altKey) return;
    const to = next(stop, event.key);
    if (!to) return;
    event.preventDefault();
    to.focus({ preventScroll: true });
    to.scrollIntoView({ block: "nearest", inline: "nearest" });
  });
}
