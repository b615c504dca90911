// The list of what waits: what was typed, when, and what is in its way. A refused entry can be
// corrected in its own form, or dropped after being asked once.
import { entries, entryAt, lines, remove, writeLine } from "./queue.js";
import { thingsOf } from "./sending.js";

const MOST_LINES_SHOWN = 20;

let dialog = null;
let here = { person: "", zone: "UTC" };
let isNobodyHere = false;
let shownState = "";
let afterwards = () => {};

const slot = (piece, name) => piece.querySelector(`[data-slot=${name}]`);
const say = (name, facts = {}) =>
  dialog.dataset[name].replace(/\{(\w+)\}/g, (whole, fact) => facts[fact] ?? whole);

export function clock(moment) {
  const date = new Date(moment);
  const inZone = (options) => new Intl.DateTimeFormat(document.documentElement.lang, { timeZone: here.zone, ...options });
  const day = inZone({ day: "numeric", month: "short", year: "numeric" });
  const time = inZone({ hour: "2-digit", minute: "2-digit", hourCycle: "h23" }).format(date);
  return day.format(date) === day.format(Date.now()) ? time : `${day.format(date)}, ${time}`;
}

function fresh(name) {
  return dialog.querySelector(`template[data-piece=${name}]`).content.firstElementChild.cloneNode(true);
}

// Why each entry is still here; the same rule as in sending.
function obstacles(found) {
  const held = new Set();
  return found.map((entry) => {
    const things = thingsOf(entry);
    const isBehind = things.some((each) => held.has(each));
    const isOther = isNobodyHere || entry.person !== here.person;
    if (entry.state === "refused" || isOther || isBehind) things.forEach((each) => held.add(each));
    if (entry.state === "refused") return "sayRefused";
    if (isOther) return "sayPerson";
    return isBehind ? "sayBehind" : "sayNetwork";
  });
}

export function reasons(entry) {
  const { detail, code, fields } = entry.why ?? {};
  const whole = code === "fault" ? say("sayFault") : (detail ?? "");
  const others = Object.values(fields ?? {}).flat().filter((sentence) => !whole.includes(sentence));
  return [whole, ...others].filter(Boolean);
}

export function listItem(text) {
  const item = document.createElement("li");
  item.textContent = text;
  return item;
}

function factRow([label, value]) {
  const row = fresh("fact");
  slot(row, "label").textContent = label;
  slot(row, "value").textContent = value;
  return row;
}

function entryPiece(entry, obstacle) {
  const piece = fresh("entry");
  const isRefused = entry.state === "refused";
  piece.dataset.state = entry.state;
  slot(piece, "title").textContent = entry.title;
  slot(piece, "about").textContent = entry.about;
  slot(piece, "about").hidden = !entry.about;
  slot(piece, "button").textContent = entry.button;
  slot(piece, "typed").textContent = say("sayTyped", { time: clock(entry.typedAt), person: entry.person });
  slot(piece, "obstacle").textContent = say(obstacle, { person: entry.person });
  slot(piece, "words").replaceChildren(...entry.words.map(factRow));
  slot(piece, "words").hidden = !entry.words.length;
  slot(piece, "reasons").replaceChildren(...(isRefused ? reasons(entry).map(listItem) : []));
  slot(piece, "reasons").hidden = slot(piece, "acts").hidden = !isRefused;
  piece.addEventListener("click", (event) => onTap(event, piece, entry));
  return piece;
}

function linePiece(line) {
  const words = line.said || [line.title, line.button, line.typed].filter(Boolean).join(" · ");
  const sentence = line.event === "dropped" ? say("sayDropped", { what: words }) : words;
  const item = listItem(`${clock(line.at)} · ${sentence}`);
  if (line.to) item.append(" ", linkTo(line.to));
  return item;
}

// Where it led: a sheet to print, a run, a part.
function linkTo(address) {
  const link = document.createElement("a");
  link.href = address;
  link.textContent = say("sayOpen");
  return link;
}

export async function fillList() {
  const found = await entries();
  const why = obstacles(found);
  const past = (await lines()).slice(-MOST_LINES_SHOWN).reverse();
  const shown = found.map(({ order, state, why }) => [order, state, why]);
  const state = JSON.stringify([shown, why, past[0]?.number, isNobodyHere]);
  if (state === shownState) return; // or a question just asked would vanish under the finger
  shownState = state;
  slot(dialog, "entries").replaceChildren(...found.map((entry, at) => entryPiece(entry, why[at])));
  slot(dialog, "none").hidden = found.length > 0;
  const isNobody = isNobodyHere || !here.person;
  dialog.querySelector("button[name=send]").hidden = !found.length || isNobody;
  slot(dialog, "log-in").hidden = !found.length || !isNobody;
  slot(dialog, "log-in").firstElementChild.href = logInAddress();
  slot(dialog, "lines").replaceChildren(...past.map(linePiece));
  slot(dialog, "past").hidden = !past.length;
}

function onTap(event, piece, entry) {
  const name = event.target.closest("button")?.name;
  if (name === "correct") correct(entry);
  if (name === "drop" || name === "keep") askToDrop(piece, name === "drop");
  if (name === "dropped") drop(entry);
}

function askToDrop(piece, isAsked) {
  slot(piece, "acts").hidden = isAsked;
  slot(piece, "ask").hidden = !isAsked;
  piece.querySelector(`button[name=${isAsked ? "keep" : "drop"}]`).focus();
}

function correct(entry) {
  const address = `${entry.page}#correct=${entry.order}`;
  const isHere = location.pathname + location.search === entry.page;
  location.assign(address);
  if (isHere) location.reload();
}

async function drop(entry) {
  const still = await entryAt(entry.order);
  if (still?.state === "refused") {
    await remove(entry.order);
    const typed = entry.words.map((pair) => pair.join(" ")).join(", ");
    await writeLine({ at: Date.now(), title: entry.title, button: entry.button, typed, event: "dropped" });
  }
  afterwards();
}

// The server said that nobody is signed in any more, whoever the page was made for.
export function nobodyHere(isSo) {
  isNobodyHere = isSo;
}

// Back to this page afterwards; from the page to log in at, to where that leads.
export function logInAddress() {
  const { pathname } = new URL(slot(dialog, "log-in").firstElementChild.href);
  if (pathname === location.pathname) return location.pathname + location.search;
  return `${pathname}?next=${encodeURIComponent(location.pathname + location.search)}`;
}

export function openList() {
  if (!dialog.open) dialog.showModal();
}

export function startList(element, { person, zone, changed }) {
  dialog = element;
  here = { person, zone };
  afterwards = changed;
}
