// A hand scanner types like a fast keyboard and ends with Enter. Whatever it types
// while no field has the focus goes into the scan field of the page, and is looked up.
const LONGEST_GAP_MS = 300; // a scanner over the air stutters; a code cut in half would find the wrong thing
const FEWEST_KEYS = 4;

let typed = "";
let lastKeyAt = 0;

function isTyping(element) {
  return element.matches("input, textarea, select, [contenteditable]");
}

function lookUp(box, code) {
  const field = box.querySelector("[data-scan-field]");
  field.value = code;
  box.requestSubmit();
}

document.addEventListener(
  "keydown",
  (event) => {
    const box = document.querySelector("[data-scan-box]");
    if (!box || isTyping(event.target) || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.timeStamp - lastKeyAt > LONGEST_GAP_MS) typed = "";
    lastKeyAt = event.timeStamp;
    if (event.key.length === 1) typed += event.key;
    if (event.key !== "Enter") return;
    if (typed.trim().length >= FEWEST_KEYS) {
      event.preventDefault(); // or Enter would press the button that has the focus
      lookUp(box, typed.trim());
    }
    typed = "";
  },
  true,
);
