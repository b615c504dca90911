// The make page: the moment of each tap, clocks that run from a recorded start, and taps that
// the network did not take.
//
// A tap carries the moment at which it happened, by the book's clock: a tablet's own may be wrong
// by minutes. The moment is set once for each id, so that the same tap sent again is the same.

const SECOND_MS = 1000;
const SMALL_MS = 2000; // an answer on its way is no wrong clock
const BOUNCE_MS = 400; // two taps closer than that are one, of a glove that bounced
const CLOCK = "clock-ahead-ms"; // how far this clock was ahead when entries that waited were last sent
const PATIENCE_MS = 10 * 1000;
const AWAY = [0, 408, 425, 429, 502, 503, 504];

let aheadMs = null; // how far the tablet's clock is ahead of the book's; null on a page from the cache

function readClock(arrivedAt) {
  const said = document.querySelector("#making-live")?.dataset.now;
  const ms = arrivedAt - Date.parse(said);
  if (Number.isFinite(ms)) aheadMs = Math.abs(ms) > SMALL_MS ? ms : 0;
}

function keptAheadMs() {
  try {
    return Number(localStorage.getItem(CLOCK) ?? 0);
  } catch {
    return 0;
  }
}

function now() {
  return Date.now() - (aheadMs ?? keptAheadMs());
}

// Clocks

function clockText(ms) {
  const seconds = Math.max(0, Math.floor(ms / SECOND_MS));
  const two = (number) => String(number).padStart(2, "0");
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60];
  return hours ? `${hours}:${two(minutes)}:${two(seconds % 60)}` : `${minutes}:${two(seconds % 60)}`;
}

function tick() {
  for (const clock of document.querySelectorAll("[data-since]")) {
    const text = clockText(now() - Date.parse(clock.dataset.since));
    if (clock.textContent !== text) clock.textContent = text;
  }
}

// Taps

const momentOf = (form) => form.elements.happened_at;
let last = { button: "", at: -BOUNCE_MS };
let lastButton = null;

document.addEventListener(
  "click",
  (event) => {
    const button = event.target.closest("button[type=submit]");
    if (!button?.form?.hasAttribute("data-tap")) return;
    const isBounce = button.id && button.id === last.button && event.timeStamp - last.at < BOUNCE_MS;
    if (isBounce) event.preventDefault();
    last = { button: button.id, at: event.timeStamp };
  },
  true,
);

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.hasAttribute("data-tap")) return;
    lastButton = event.submitter;
    const hasMoment = !form.hasAttribute("hx-post") || momentOf(form).value;
    if (!hasMoment) momentOf(form).value = new Date(now()).toISOString();
  },
  true,
);

// The same form without htmx, as the page's queue of waiting entries takes it; id and moment stay.
function handOver(form) {
  const plain = form.cloneNode(true);
  for (const name of ["hx-post", "hx-target", "hx-swap", "data-sent"]) plain.removeAttribute(name);
  form.replaceWith(plain);
  return plain;
}

function onLost(event) {
  const form = event.detail.elt;
  if (!form.matches?.("form[data-tap]")) return;
  const name = lastButton?.name;
  const value = lastButton?.value;
  const plain = handOver(form);
  const button = [...plain.elements].find((each) => each.type === "submit" && each.name === name && each.value === value);
  plain.requestSubmit(button ?? [...plain.elements].find((each) => each.type === "submit"));
}

// A page of a proxy or of a sign-in stands for no answer of ours.
document.addEventListener("htmx:beforeSwap", (event) => {
  if (AWAY.includes(event.detail.xhr.status)) event.detail.shouldSwap = false;
});
document.addEventListener("htmx:responseError", (event) => {
  if (AWAY.includes(event.detail.xhr.status)) onLost(event);
});
window.htmx.config.timeout = PATIENCE_MS;
window.htmx.config.attributesToSettle = ["class"]; // inline styles are forbidden here, even empty ones
document.addEventListener("htmx:sendError", onLost);
document.addEventListener("htmx:timeout", onLost);

// Nobody was let in, so nothing was written down: the next tap is another one, with its own moment.
document.addEventListener("htmx:afterRequest", (event) => {
  const { elt, xhr } = event.detail;
  const isUnheard = xhr.status === 204 || (xhr.status >= 400 && !AWAY.includes(xhr.status));
  if (isUnheard && elt.matches?.("form[data-tap]")) momentOf(elt).value = "";
});

// What is kept for later has its moment in the queue; the next tap has its own.
document.addEventListener("entry:answered", (event) => {
  if (event.target.matches("form[data-tap]")) momentOf(event.target).value = "";
});

document.addEventListener("htmx:afterSettle", (event) => {
  if (event.detail.elt.matches?.("[data-refused]")) event.detail.elt.scrollIntoView({ block: "center" });
  readClock(Date.now());
  tick();
});
document.addEventListener("visibilitychange", tick);
window.addEventListener("pageshow", tick);
setInterval(tick, SECOND_MS);

if (!document.documentElement.dataset.seenAt) {
  const arrival = performance.getEntriesByType("navigation")[0]?.responseStart ?? performance.now();
  readClock(performance.timeOrigin + arrival);
}
tick();
