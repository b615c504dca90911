// A shared tablet that nobody touches locks: a box lies over the page until the same person types
// the PIN, so that what was typed under it stays. The server locks by itself all the same.
const SEEN_EVERY_MS = 20000;
const LOOK_EVERY_MS = 2000;
const PATIENCE_MS = 6000; // a Wi-Fi that lets nothing through looks like one that works
const AWAY = [502, 503, 504];
const LOCKED = "bench-locked-by"; // so that a kept page, shown without network, stays locked too

const box = document.querySelector("[data-lock]");
const form = document.getElementById("lock-form");
const refusal = box.querySelector("[data-lock-refusal]");
const offline = box.querySelector("[data-lock-offline]");
const idleMs = Number(box.dataset.idleSeconds) * 1000;

let touchedAt = Date.now();
let toldAt = Date.now();
let owesLock = false; // the server was not reached when this page locked

// Answers of the workshop's server only: a hotel's sign-in page, or a gateway that says the server
// is away, is as good as no network.
async function ask(url, options = {}) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE_MS);
  try {
    const answer = await fetch(url, { ...options, redirect: "manual", cache: "no-store", signal: stop.signal });
    const isOther = answer.status === 200 && !isJson(answer);
    if (AWAY.includes(answer.status) || isOther) throw new Error("away");
    return answer;
  } finally {
    clearTimeout(timer);
  }
}

const isJson = (answer) => answer.headers.get("Content-Type")?.startsWith("application/json");

function send(url, body = new URLSearchParams()) {
  body.set("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
  return ask(url, { method: "POST", body, headers: { Accept: "application/json" }, keepalive: true });
}

function lockedBy(person) {
  try {
    if (person !== undefined) localStorage.setItem(LOCKED, person);
    return localStorage.getItem(LOCKED);
  } catch {
    return null; // without storage only the page itself is locked
  }
}

function say(sentence) {
  refusal.hidden = !sentence;
  refusal.textContent = sentence;
}

function open() {
  if (box.open) return;
  say("");
  form.elements.pin.value = "";
  offline.hidden = true;
  lockedBy(box.dataset.person);
  box.showModal();
}

function lock() {
  if (box.open) return;
  open();
  tellLocked();
}

async function tellLocked() {
  owesLock = false;
  await send(box.dataset.lockUrl).catch(() => (owesLock = box.open));
}

function unlock() {
  form.elements.pin.value = "";
  owesLock = false;
  lockedBy("");
  say("");
  box.close();
  touchedAt = toldAt = Date.now();
}

function touch() {
  touchedAt = Date.now();
  if (box.open || touchedAt - toldAt < SEEN_EVERY_MS) return;
  toldAt = touchedAt;
  send(box.dataset.seenUrl).then(check, () => {});
}

async function check(answer) {
  if (answer.status === 403) open();
  if (!answer.ok) return;
  const { person } = await answer.json();
  if (person !== box.dataset.person) open();
}

function look() {
  if (owesLock && Date.now() - toldAt >= SEEN_EVERY_MS) {
    toldAt = Date.now();
    tellLocked();
  }
  if (!box.open && Date.now() - touchedAt >= idleMs) lock();
}

// A page that comes back from sleep or from history asks who works here now.
function comeBack() {
  look();
  if (!box.open) ask(box.dataset.seenUrl).then(check, () => {});
}

async function tryPin() {
  owesLock = false; // told now, it would end the turn that begins
  let answer;
  try {
    answer = await send(form.action, new URLSearchParams(new FormData(form)));
  } catch {
    say(box.querySelector("[data-lock-no-network]").textContent);
    offline.hidden = false;
    owesLock = true;
    return;
  }
  if (answer.ok) return unlock();
  form.elements.pin.value = "";
  say(isJson(answer) ? (await answer.json()).detail : box.querySelector("[data-lock-failed]").textContent);
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  tryPin();
});
box.addEventListener("cancel", (event) => event.preventDefault());
offline.addEventListener("click", unlock);

document.addEventListener("submit", (event) => {
  if (!event.target.hasAttribute("data-lock-now")) return;
  event.preventDefault();
  lock();
});
document.addEventListener("bench-locked", open);
for (const kind of ["pointerdown", "keydown", "input"]) {
  document.addEventListener(kind, touch, { capture: true, passive: true });
}
document.addEventListener("visibilitychange", () => document.hidden || comeBack());
window.addEventListener("pageshow", (event) => event.persisted && comeBack());
window.addEventListener("online", () => owesLock && tellLocked());
setInterval(look, LOOK_EVERY_MS);

// A page fresh from the server is nobody's but that of the turn; a kept one may be older than the lock.
const isKept = Boolean(document.documentElement.dataset.seenAt);
if (isKept && lockedBy() === box.dataset.person) open();
else if (!isKept) lockedBy("");
