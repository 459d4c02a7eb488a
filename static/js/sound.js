// A short sound and a vibration when a time is over. Off until somebody turns it on, here and on this machine only.

const KEY = "channelday-sound";

function beep(context) {
  const tone = context.createOscillator();
  const level = context.createGain();
  tone.frequency.value = 880;
  level.gain.setValueAtTime(0.25, context.currentTime);
  level.gain.exponentialRampToValueAtTime(0.001, context.currentTime + 0.5);
  tone.connect(level).connect(context.destination);
  tone.start();
  tone.stop(context.currentTime + 0.5);
}

export function startSound() {
  let context = null;
  const isOn = () => localStorage.getItem(KEY) === "on";
  const show = () => {
    const button = document.querySelector("#sound");
    if (!button) return;
    button.hidden = false;
    button.setAttribute("aria-pressed", String(isOn()));
    button.textContent = isOn() ? "Sound on" : "Sound off";
  };
  const tell = () => {
    if (!isOn()) return;
    navigator.vibrate?.([200, 100, 200]);
    context ??= new AudioContext();
    beep(context);
  };
  document.addEventListener("click", (event) => {
    if (!event.target.closest?.("#sound")) return;
    localStorage.setItem(KEY, isOn() ? "off" : "on");
    show();
    tell();
  });
  document.addEventListener("htmx:after:swap", show);
  show();
  return tell;
}
