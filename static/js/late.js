// A repair is looked for as soon as the page is there; without this, a button begins it.
document.querySelector("form[data-at-once]")?.requestSubmit();
