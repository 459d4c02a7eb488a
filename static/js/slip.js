// Copies the slip's text, or prints the page.

const text = document.getElementById("slip-text");
const copied = document.getElementById("copied");

document.getElementById("copy").addEventListener("click", async () => {
  try {
    await navigator.clipboard.writeText(text.value);
    copied.textContent = "Copied.";
  } catch {
    // Over plain http a browser lets nobody write there: the text is marked, to be copied by hand.
    text.select();
    copied.textContent = "Marked: copy it with Ctrl+C.";
  }
});
document.getElementById("print").addEventListener("click", () => window.print());
