// A hand scanner types like a fast keyboard. What it types anywhere on the page is taken as a scan and
// not as text, told by its pace: a person never keeps up 45 ms a key. It ends with Enter, with Tab, with
// the suffix that it is set to, or, when it is a whole code, with silence. A field that it typed into gets
// back what stood there before, so a scan into a mass leaves the mass alone. Times are those of the keys
// themselves, so a busy page does not blur them. Fields of type password, and what is marked
// data-no-scan, are left alone.
const MEAN_GAP_MS = { field: 45, page: 80, known: 80 };
const LONGEST_GAP_MS = { field: 150, page: 300 }; // a scanner over the air stutters
const SILENCE_MS = 180;
const AFTER_INSERT_MS = 300;
const FEWEST_KEYS = 4;
const SHORT = 8;
const FEWEST_INSERTED = 12;
const PART_OF_A_MASS = /^[\d.,\s]*(?:mg|g|kg|t|lb|oz)?$/i;
const WHOLE = /(?:\/q\/[^/?#\s]{3,}\/?$)|(?:^[0-9A-Z]{4}[- ]?[0-9A-Z]{4}[- ]?[0-9A-Z]{4}$)/i;

let burst = null;
let silence = 0;
let insertedAt = -Infinity;

const added = (name) => document.querySelector("[data-scan-box]")?.dataset[name] ?? "";
const isField = (element) => element.matches?.("input, textarea, select");
const isLeftAlone = (element) => element.closest?.("[type=password], [data-no-scan]");

function startBurst(event) {
  const { target } = event;
  const before = { value: target.value, checked: target.checked };
  try {
    Object.assign(before, { start: target.selectionStart, end: target.selectionEnd });
  } catch {
    // some kinds of field have no selection
  }
  return { text: "", startAt: event.timeStamp, lastAt: event.timeStamp, target, before };
}

function meanGap({ text, startAt, lastAt }) {
  return (lastAt - startAt) / Math.max(1, text.length - 1);
}

function isScan(found) {
  const { text, target } = found;
  if (text.trim().length < FEWEST_KEYS) return false;
  const prefix = added("prefix");
  const isKnown = /^https?:\/\//i.test(text) || (prefix && text.startsWith(prefix));
  if (!isField(target)) return meanGap(found) <= MEAN_GAP_MS.page;
  if (text.length < SHORT && PART_OF_A_MASS.test(text) && !isKnown) return false;
  return meanGap(found) <= (isKnown ? MEAN_GAP_MS.known : MEAN_GAP_MS.field);
}

function restore({ target, before }) {
  if (!isField(target) || target.value === before.value) return;
  target.value = before.value;
  if (typeof before.start === "number") target.setSelectionRange(before.start, before.end);
  target.dispatchEvent(new Event("input", { bubbles: true }));
}

function emit(text) {
  document.dispatchEvent(new CustomEvent("scan:read", { detail: { text: text.trim() } }));
}

function take() {
  const found = burst;
  forget();
  restore(found);
  emit(found.text);
}

function forget() {
  clearTimeout(silence);
  burst = null;
}

function stop(event) {
  event.preventDefault();
  event.stopImmediatePropagation();
}

function onEnd(event) {
  if (event.timeStamp - insertedAt < AFTER_INSERT_MS) {
    insertedAt = -Infinity;
    stop(event); // the Enter of what was inserted in one piece
    return;
  }
  const isSoon = burst && event.timeStamp - burst.lastAt <= LONGEST_GAP_MS.page;
  if (isSoon && burst.target === event.target && isScan(burst)) {
    stop(event); // or Enter would press a button or send the form, and Tab would leave the field
    take();
  }
  forget();
}

function onSign(event) {
  const longest = isField(event.target) ? LONGEST_GAP_MS.field : LONGEST_GAP_MS.page;
  const goesOn = burst && burst.target === event.target && event.timeStamp - burst.lastAt <= longest;
  if (!goesOn) burst = startBurst(event);
  else if (event.key === " " && !isField(event.target)) event.preventDefault(); // or it would press a button
  burst.text += event.key;
  burst.lastAt = event.timeStamp;
  clearTimeout(silence);
  const suffix = added("suffix");
  const isEnded = suffix && burst.text.endsWith(suffix) && burst.text.length > suffix.length;
  if (isEnded && isScan(burst)) {
    stop(event);
    take();
  } else if (WHOLE.test(burst.text.trim())) {
    silence = setTimeout(() => burst && isScan(burst) && take(), SILENCE_MS);
  }
}

document.addEventListener(
  "keydown",
  (event) => {
    const isCommand = event.ctrlKey || event.altKey || event.metaKey || event.isComposing;
    if (event.key === "Shift" || event.key === "CapsLock") return;
    if (event.repeat || isCommand || !added("ask") || isLeftAlone(event.target)) forget();
    else if (event.key === "Enter" || event.key === "Tab") onEnd(event);
    else if (event.key.length === 1) onSign(event);
    else forget();
  },
  true,
);

// A handheld terminal with a scanner inside may insert the whole text at once instead of typing it.
document.addEventListener(
  "beforeinput",
  (event) => {
    const text = (event.data ?? "").trim();
    const isWhole = event.inputType === "insertText" && text.length >= FEWEST_INSERTED && WHOLE.test(text);
    if (!isWhole || !/\d/.test(text) || isLeftAlone(event.target)) return;
    insertedAt = event.timeStamp;
    stop(event);
    emit(text);
  },
  true,
);
