// Every act is written down on the tablet before it is sent, so that a dead network loses nothing.
// What could not be sent waits; "waiting: n" says so on every page and leads to the list.
import { entries, entryAt, put } from "./queue.js";
import { sendUnkept, sendWaiting, sendWith } from "./sending.js";
import { actForms, empty, entryOf, fillIn, isAct, isUntouched, renewKeys, tokenOf } from "./typed_entry.js";
import { clock, fillList, listItem, logInAddress, nobodyHere, openList, reasons, startList } from "./waiting_list.js";

const FIRST_WAIT_MS = 5 * 1000;
const LONGEST_WAIT_MS = 2 * 60 * 1000;
const AWAY_FOR_MS = 15 * 1000; // after a failure nobody waits again for the network that long
const IDLE_MS = 1500;
const AWAY_AT = "network-away-at";
const ASKED = "asked-to-persist";
const CORRECTING = "correcting";
const SENT = "just-sent";
const ANEW_AT = "fetched-anew-at";
const ANEW_EVERY_MS = 60 * 1000;

const strip = document.querySelector("[data-waiting]");
const list = document.querySelector("[data-waiting-list]");
const { person, zone } = strip.dataset;
const seenAt = document.documentElement.dataset.seenAt;
const isRefusal = Boolean(document.querySelector("main .form-errors, main .errorlist")); // an answer to a POST
const others = "BroadcastChannel" in window ? new BroadcastChannel("waiting-entries") : null;

let waitMs = FIRST_WAIT_MS;
let timer = 0;
let isSending = false;

function stored(storage, name, value) {
  try {
    if (value !== undefined) window[storage].setItem(name, value);
    return window[storage].getItem(name);
  } catch {
    return null;
  }
}

// The strip and the messages

async function refresh() {
  const found = await entries().catch(() => []);
  const refused = found.filter((entry) => entry.state === "refused").length;
  const words = list.dataset;
  const count = strip.querySelector("[data-waiting-count]");
  count.querySelector("[data-slot=waiting]").textContent = words.sayWaiting.replace("{number}", found.length);
  count.querySelector("[data-slot=refused]").textContent = refused ? words.sayRefusedCount.replace("{number}", refused) : "";
  const isSignedOut = !person || strip.dataset.network === "signed-out";
  count.querySelector("[data-slot=signed-out]").textContent = isSignedOut ? words.saySignIn : "";
  count.hidden = !found.length;
  strip.toggleAttribute("data-is-waiting", found.length > refused);
  strip.hidden = !found.length && !seenAt;
  if (list.open) await fillList();
}

function tell(name, level = "warning", more = "") {
  list.dataset.told = name;
  const message = document.querySelector("template[data-piece=message]").content.firstElementChild.cloneNode(true);
  message.querySelector("[data-slot=text]").textContent = [list.dataset[name], more].filter(Boolean).join(" ");
  message.querySelector("[data-slot=item]").dataset.level = level;
  const way = message.querySelector("[data-slot=log-in]");
  way.href = logInAddress();
  way.hidden = name !== "saySignedOut";
  const glyph = message.querySelector("use");
  glyph.setAttribute("href", glyph.getAttribute("href").replace(/#.*/, level === "success" ? "#done" : "#warn"));
  document.querySelector(".messages").replaceChildren(message);
  message.scrollIntoView({ block: "center" });
}

function showSeen() {
  if (!seenAt) return;
  const words = strip.querySelector("[data-waiting-seen]");
  words.textContent = list.dataset.saySeen.replace("{time}", clock(seenAt));
  words.hidden = false;
}

// A question that could not be asked, such as a reading to compare, stays in the form that asks it.
function fillFromAddress() {
  const form = document.querySelector("main form[method=get]");
  for (const [name, value] of new URLSearchParams(location.search)) {
    const control = form?.elements.namedItem(name);
    if (control) control.value = value;
  }
}

// Sending

function changed() {
  others?.postMessage("changed");
  return refresh();
}

async function wake({ isFresh = false } = {}) {
  if (isFresh) waitMs = FIRST_WAIT_MS;
  clearTimeout(timer);
  const isWaiting = (await entries().catch(() => [])).some((entry) => entry.state === "waiting");
  if (!(isWaiting || seenAt) || isSending) return; // a kept page asks whether the network is back
  isSending = true;
  const result = await sendWaiting().catch(() => ({ kind: "away" }));
  isSending = false;
  noteNetwork(result);
  await changed();
  if (result.sent || (seenAt && result.kind === "through")) showWhatCameOfIt(result.sent);
  timer = setTimeout(wake, waitMs);
  waitMs = Math.min(waitMs * 2, LONGEST_WAIT_MS);
}

// The page was made before: its figures lack what was sent, and somebody would enter it twice.
function showWhatCameOfIt(sent) {
  const isAll = sent && strip.querySelector("[data-waiting-count]").hidden;
  if (isRefusal || !isUntouched()) return isAll && tell("saySent", "success");
  const isTooSoon = Date.now() - Number(stored("sessionStorage", ANEW_AT) ?? 0) < ANEW_EVERY_MS;
  if (!sent && isTooSoon) return; // a network too slow for pages: the kept one stays readable
  stored("sessionStorage", ANEW_AT, Date.now());
  if (isAll) stored("sessionStorage", SENT, "all");
  location.replace(location.pathname + location.search);
}

function sayWhatCameOfIt() {
  if (seenAt || !stored("sessionStorage", SENT)) return;
  stored("sessionStorage", SENT, "");
  tell("saySent", "success");
}

function noteNetwork({ kind }) {
  if (kind === "busy") return;
  nobodyHere(kind === "signed-out");
  strip.dataset.network = kind;
  stored("sessionStorage", AWAY_AT, kind === "away" ? Date.now() : 0);
}

function seemsDead() {
  return navigator.onLine === false || Date.now() - Number(stored("sessionStorage", AWAY_AT) ?? 0) < AWAY_FOR_MS;
}

async function sendLive(form, entry) {
  if (seemsDead()) return { kind: "away" };
  const result = await sendWaiting({ order: entry.order, token: tokenOf(form)?.value ?? "" });
  noteNetwork(result);
  return result;
}

// A form that is sent

async function onTyped(form, submitter) {
  form.inert = true; // what is on its way is not changed under it
  const before = form.dataset.corrects ? await entryAt(Number(form.dataset.corrects)) : null;
  const entry = entryOf(form, submitter, { person, before });
  try {
    entry.order = await put(entry);
  } catch {
    return sendWithoutKeeping(form, submitter, entry);
  }
  askToPersist();
  const result = await sendLive(form, entry).catch(() => ({ kind: "away" }));
  if (result.kind === "page" && before) stored("sessionStorage", CORRECTING, `${entry.order} ${entry.page}`);
  const act = { done: leadOn, page: sendPlainly }[result.kind] ?? sayKept;
  act(form, submitter, result);
  return changed();
}

async function sendWithoutKeeping(form, submitter, entry) {
  const result = await sendUnkept(entry, tokenOf(form)?.value ?? "").catch(() => ({ kind: "away" }));
  if (result.kind === "done") return leadOn(form, submitter, result);
  if (result.kind === "page") return sendPlainly(form, submitter);
  release(form);
  return tell("sayNotKept");
}

function leadOn(form, submitter, { to }) {
  const url = new URL(to || location.href, location.href);
  const isHere = url.pathname + url.search === location.pathname + location.search;
  location.assign(url);
  if (isHere) location.reload();
}

// The page's own answer to a refused form, as without script: nothing was booked, so it may be asked twice.
function sendPlainly(form, submitter) {
  if (submitter?.name) {
    const extra = Object.assign(document.createElement("input"), { type: "hidden" });
    form.append(Object.assign(extra, { name: submitter.name, value: submitter.value }));
  }
  forgetCorrection(); // its answer is no correction to open anew
  HTMLFormElement.prototype.submit.call(form);
}

function forgetCorrection() {
  if (location.hash.startsWith("#correct=")) history.replaceState(null, "", location.pathname + location.search);
}

function sayKept(form, submitter, { kind }) {
  delete form.dataset.corrects;
  forgetCorrection();
  document.querySelectorAll("[data-waiting-refusal]").forEach((each) => each.remove());
  empty(form);
  release(form);
  const said = { "signed-out": "saySignedOut", "other-person": "sayOtherPerson" }[kind] ?? "sayKept";
  tell(said, "warning", form.dataset.keptNote);
  wake({ isFresh: true });
}

function release(form) {
  form.inert = false;
  form.dispatchEvent(new CustomEvent("entry:answered", { bubbles: true }));
}

function askToPersist() {
  if (!navigator.storage?.persist || stored("localStorage", ASKED)) return;
  stored("localStorage", ASKED, "1");
  navigator.storage.persist();
}

// A refused entry back in its form

function showRefusal(form, entry) {
  const box = list.querySelector("template[data-piece=refusal]").content.firstElementChild.cloneNode(true);
  box.querySelector("ul").replaceChildren(...reasons(entry).map(listItem));
  form.before(box);
  for (const name of Object.keys(entry.why?.fields ?? {})) {
    for (const control of form.elements) if (control.name === name) control.setAttribute("aria-invalid", "true");
  }
  box.focus();
}

async function openCorrection() {
  const found = /^#correct=(\d+)$/.exec(location.hash);
  const entry = found && (await entryAt(Number(found[1])).catch(() => null));
  if (!entry) return;
  const form = actForms().find((each) => each.id === entry.form);
  if (!form) {
    tell("sayNoForm");
    return;
  }
  fillIn(form, entry);
  form.dataset.corrects = entry.order;
  showRefusal(form, entry);
}

// A correction that was refused as well: the page that answered it, and only that one, goes on with
// it. From any other page nobody can tell what became of it; sent again, it will be said.
async function goOnCorrecting() {
  const [order, page] = (stored("sessionStorage", CORRECTING) ?? "").split(" ");
  stored("sessionStorage", CORRECTING, "");
  if (!order) return;
  const isAnswer = page === location.pathname + location.search && document.querySelector("main .form-errors, main .errorlist");
  const form = isAnswer && actForms()[0];
  const entry = await entryAt(Number(order)).catch(() => null);
  if (form) form.dataset.corrects = order;
  else if (entry) await put({ ...entry, state: "waiting" });
}

// The pages that are kept

async function keepPages() {
  const hasWorkers = window.isSecureContext && navigator.serviceWorker;
  if (seenAt || !person || !hasWorkers || navigator.connection?.saveData) return;
  await navigator.serviceWorker.register(strip.dataset.worker, { scope: "/", updateViaCache: "none" });
  const { active } = await navigator.serviceWorker.ready;
  const files = performance.getEntriesByType("resource").map((entry) => entry.name);
  active.postMessage({ say: "keep", files });
}

document.addEventListener("submit", (event) => {
  if (event.defaultPrevented || !isAct(event.target)) return;
  event.preventDefault();
  onTyped(event.target, event.submitter);
});

// What the page itself sends in the background must not overtake what waits; a script that hears that
// the network took nothing hands its form over to be sent from here.
document.addEventListener("htmx:beforeRequest", (event) => {
  const form = event.detail.elt;
  if (!form.matches("form") || !isAct(form) || !(seemsDead() || strip.hasAttribute("data-is-waiting"))) return;
  event.preventDefault();
  form.dispatchEvent(new CustomEvent("htmx:sendError", { bubbles: true, detail: { elt: form } }));
});
for (const kind of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(kind, () => stored("sessionStorage", AWAY_AT, Date.now()));
}

strip.addEventListener("click", (event) => {
  if (!event.target.closest("[data-waiting-count]")) return;
  fillList().then(openList);
});

for (const way of document.querySelectorAll("[data-open-waiting]")) {
  way.hidden = false;
  way.addEventListener("click", () => fillList().then(openList));
}

list.addEventListener("click", (event) => {
  const name = event.target.closest("button")?.name;
  if (name === "close") list.close();
  if (name === "send") wake({ isFresh: true });
});

others?.addEventListener("message", refresh);
window.addEventListener("online", () => wake({ isFresh: true }));
window.addEventListener("pageshow", (event) => {
  if (event.persisted) renewKeys();
  for (const form of actForms()) form.inert = false;
  refresh().then(() => wake({ isFresh: true }));
});
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) refresh().then(() => wake({ isFresh: true }));
});
window.addEventListener("load", () => setTimeout(() => keepPages().catch(() => {}), IDLE_MS));

sendWith(strip.dataset.who);
startList(list, { person, zone, changed: () => changed().then(() => wake({ isFresh: true })) });
if (seenAt) {
  renewKeys();
  fillFromAddress();
}
showSeen();
sayWhatCameOfIt();
goOnCorrecting().then(openCorrection).then(() => wake());
