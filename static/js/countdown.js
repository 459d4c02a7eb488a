// Counts down to the second against the server's time, of which each page says what it was when it was made.

let ahead = 0; // how far this machine's clock is ahead of the server's, in milliseconds

function read() {
  const main = document.querySelector("main[data-now]");
  if (main && main.dataset.read !== main.dataset.now) {
    ahead = Date.now() - Number(main.dataset.now);
    main.dataset.read = main.dataset.now;
  }
}

function text(seconds) {
  const whole = Math.abs(Math.trunc(seconds));
  const sign = seconds <= -1 ? "+" : "";
  const two = (number) => String(number).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor((whole % 3600) / 60);
  return hours ? `${sign}${hours}:${two(minutes)}:${two(whole % 60)}` : `${sign}${minutes}:${two(whole % 60)}`;
}

export function startCountdown(told) {
  const seen = new Set();
  const tick = () => {
    read();
    const now = Date.now() - ahead;
    for (const one of document.querySelectorAll(".countdown[data-due]")) {
      const left = (Number(one.dataset.due) - now) / 1000;
      const shown = text(left);
      if (one.textContent !== shown) one.textContent = shown;
      one.classList.toggle("over", left <= -1);
      one.classList.toggle("soon", left > -1 && left < 60);
      const key = one.dataset.due;
      if (left <= 0 && left > -5 && !seen.has(key)) {
        seen.add(key);
        told();
      }
    }
  };
  tick();
  setInterval(tick, 250);
  document.addEventListener("htmx:after:swap", tick);
}
