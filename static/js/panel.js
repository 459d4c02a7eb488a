// Shows what is known about a part or a free stretch. Pointing or walking shows; clicking, tapping or Enter keeps it.

const find = (selector) => document.querySelector(selector);

function light(key, visit) {
  for (const mark of document.querySelectorAll(".lit")) mark.classList.remove("lit");
  const selector = visit ? `[data-visit="${CSS.escape(visit)}"]` : `[data-detail="${CSS.escape(key)}"]`;
  for (const mark of document.querySelectorAll(selector)) mark.classList.add("lit");
}

export function startPanel() {
  let pinned = null;
  let closing = false;

  function show(mark) {
    const key = mark.dataset.detail;
    const detail = find(`template[data-for="${CSS.escape(key)}"]`);
    const panel = find("#panel");
    if (!detail || !panel) return;
    const body = panel.querySelector(".panel-body");
    body.replaceChildren(detail.content.cloneNode(true));
    body.scrollTop = 0;
    panel.classList.add("open");
    panel.querySelector(".close").hidden = false;
    light(key, mark.dataset.visit);
  }

  function pin(mark) {
    show(mark);
    pinned = mark;
    for (const other of document.querySelectorAll(".block.pinned")) other.classList.remove("pinned");
    for (const block of document.querySelectorAll(`.block[data-detail="${CSS.escape(mark.dataset.detail)}"]`)) {
      block.classList.add("pinned");
    }
    find("#panel")?.classList.add("pinned");
    mark.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  function close() {
    const panel = find("#panel");
    if (!panel?.classList.contains("open")) return;
    panel.classList.remove("open", "pinned");
    panel.querySelector(".close").hidden = true;
    for (const mark of document.querySelectorAll(".lit, .pinned")) mark.classList.remove("lit", "pinned");
    const back = pinned?.isConnected && panel.contains(document.activeElement) ? pinned : null;
    pinned = null;
    // Focus goes back to the part without opening its details again.
    closing = true;
    back?.focus();
    closing = false;
  }

  const markAt = (event) => event.target.closest?.("[data-detail]");

  document.addEventListener("pointerover", (event) => {
    const mark = markAt(event);
    if (mark && !pinned?.isConnected) show(mark);
  });
  document.addEventListener("focusin", (event) => {
    const mark = markAt(event);
    if (mark && !closing && !pinned?.isConnected) show(mark);
  });
  document.addEventListener("click", (event) => {
    if (event.target.closest?.("#panel .close")) return close();
    const mark = markAt(event);
    if (!mark || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    pin(mark);
    if (event.detail === 0) find("#panel h3")?.focus({ preventScroll: true });
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
  });
}
