// A shared tablet that nobody touches locks: a box lies over the page until the same person types
// the PIN, so that what was typed under it stays. The server locks by itself all the same.
const SEEN_EVERY_MS = 20000;
const LOOK_EVERY_MS = 2000;

const box = document.querySelector("[data-lock]");
const form = document.getElementById("lock-form");
const refusal = box.querySelector("[data-lock-refusal]");
const offline = box.querySelector("[data-lock-offline]");
const idleMs = Number(box.dataset.idleSeconds) * 1000;

let touchedAt = Date.now();
let toldAt = Date.now();

function send(url, body = new URLSearchParams()) {
  body.set("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
  const headers = { Accept: "application/json" };
  return fetch(url, { method: "POST", body, headers, redirect: "manual", keepalive: true });
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
  box.showModal();
}

function lock() {
  if (box.open) return;
  open();
  send(box.dataset.lockUrl).catch(() => {});
}

function unlock() {
  form.elements.pin.value = "";
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
  if (!box.open && Date.now() - touchedAt >= idleMs) lock();
}

// A page that comes back from sleep or from history asks who works here now.
function comeBack() {
  look();
  if (!box.open) fetch(box.dataset.seenUrl).then(check, () => {});
}

async function tryPin() {
  let answer;
  try {
    answer = await send(form.action, new URLSearchParams(new FormData(form)));
  } catch {
    say(box.querySelector("[data-lock-no-network]").textContent);
    offline.hidden = false;
    return;
  }
  if (answer.ok) return unlock();
  form.elements.pin.value = "";
  const isOurs = answer.headers.get("Content-Type")?.startsWith("application/json");
  say(isOurs ? (await answer.json()).detail : box.querySelector("[data-lock-failed]").textContent);
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
setInterval(look, LOOK_EVERY_MS);
