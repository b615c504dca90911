// Sends what waits: in the order in which it was typed, one entry at a time, one tab at a time.
// An entry whose answer was lost is sent again with its own key and is booked once.
// A refused entry holds back later ones about the same run, bin or lot, which may build on it;
// entries about anything else go on. So does an entry of a person who is not signed in now.
import { alone, entries, entryAt, put, remove, writeLine } from "./queue.js";

const PATIENCE_MS = 10 * 1000;
const PATIENCE_WITH_FILES_MS = 60 * 1000;
const AWAY = [408, 425, 429, 502, 503, 504];
const LEADS_ON = 302;
const FAULT = 500;
const MOST_FAULTS = 3;
const LIVE_TRIES = 10;
const LIVE_PAUSE_MS = 300;
const CODE = /^[0-9A-HJKMNP-TV-Z]{12}$/;
const CLOCK = "clock-ahead-ms";
const SMALL_MS = 2000; // an answer on its way is no wrong clock

let whoAddress = "";

export function sendWith(address) {
  whoAddress = address;
}

async function ask(address, options, patienceMs) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), patienceMs);
  try {
    const answer = await fetch(address, {
      ...options, credentials: "same-origin", redirect: "manual", cache: "no-store", signal: stop.signal,
    });
    const isJson = (answer.headers.get("Content-Type") ?? "").startsWith("application/json");
    const content = isJson ? await answer.json() : null;
    setClock(content?.now);
    const status = answer.type === "opaqueredirect" ? LEADS_ON : answer.status;
    const isOld = answer.headers.has("X-Old-Token");
    return { status, content, isOld, isOurs: answer.headers.has("X-Person") };
  } catch {
    return { status: 0, content: null, isOurs: false };
  } finally {
    clearTimeout(timer);
  }
}

// The book's clock counts: tablets lie in dust for years and their clocks drift.
function setClock(now) {
  const aheadMs = Date.now() - Date.parse(now);
  if (!Number.isFinite(aheadMs)) return;
  try {
    localStorage.setItem(CLOCK, Math.abs(aheadMs) > SMALL_MS ? aheadMs : 0);
  } catch {
    // without storage the tablet's own clock has to do
  }
}

export function now() {
  try {
    return new Date(Date.now() - Number(localStorage.getItem(CLOCK) ?? 0));
  } catch {
    return new Date();
  }
}

// Who is signed in, with a fresh token: null when the network is dead, no person when nobody is.
// A hotel's sign-in page instead of ours leads on too, or answers in no JSON: neither sends anything.
async function whoIsHere() {
  const { status, content } = await ask(whoAddress, {}, PATIENCE_MS);
  if (status === 200 && content) return content;
  return status === 403 || status === LEADS_ON ? { person: "" } : null;
}

// What an entry is about: the codes in its address and fields, and numbered things in its address.
export function thingsOf(entry) {
  const url = new URL(entry.address, location.origin);
  const parts = url.pathname.split("/").filter(Boolean);
  const numbered = parts.map((part, at) => (/^\d+$/.test(part) ? `${parts[at - 1]}/${part}` : part.toUpperCase()));
  const values = entry.fields.map(([, value]) => value).filter((value) => typeof value === "string");
  const typed = [...url.searchParams.values(), ...values].map((value) => value.toUpperCase().replace(/[-\s]/g, ""));
  return [...numbered, ...typed].filter((text) => CODE.test(text) || /\/\d+$/.test(text));
}

function body(entry) {
  const form = new FormData();
  for (const [name, value, fileName] of entry.fields) {
    if (fileName === undefined) form.append(name, value);
    else form.append(name, value, fileName);
  }
  return form;
}

function judged({ status, content, isOld, isOurs }, mode) {
  if (status === 200 && content?.done) return { kind: "done", to: content.to, said: content.said };
  if (content?.code === "signed-out") return { kind: "signed-out" };
  if (content?.code === "other-person") return { kind: "other-person" };
  if (content?.code) return { kind: "refused", why: content };
  if (status === 0 || AWAY.includes(status)) return { kind: "away" };
  if (isOld) return { kind: "old-token" };
  if (!isOurs) return { kind: "away" };
  if (mode === "now") return { kind: "page" };
  return { kind: status === FAULT ? "fault" : "away" };
}

async function send(entry, mode, token) {
  const hasFiles = entry.fields.some(([, value]) => typeof value !== "string");
  const headers = { "X-Queued": mode, "X-Typed-By": encodeURIComponent(entry.person), "X-CSRFToken": token };
  const answer = await ask(
    entry.address,
    { method: "POST", headers, body: body(entry) },
    hasFiles ? PATIENCE_WITH_FILES_MS : PATIENCE_MS,
  );
  return judged(answer, mode);
}

async function sendOnce(entry, mode, here) {
  const result = await send(entry, mode, here.token);
  if (result.kind !== "old-token") return result;
  const fresh = await whoIsHere();
  if (!fresh?.token) return { kind: fresh ? "signed-out" : "away" };
  const again = await send(entry, mode, fresh.token);
  return again.kind === "old-token" ? { kind: "away" } : again;
}

async function settle(entry, result, mode) {
  if (result.kind === "done") {
    await remove(entry.order);
    const line = { at: Date.now(), title: entry.title, button: entry.button, event: "sent" };
    const { to = "", said = [] } = result;
    if (mode !== "now") await writeLine({ ...line, to, said: said.join(" ") });
  } else if (result.kind === "page") {
    if (entry.corrects) await put({ ...entry, state: "refused" });
    else await remove(entry.order);
  } else if (result.kind === "refused") {
    await put({ ...entry, state: "refused", why: result.why });
  } else if (result.kind === "fault") {
    const faults = (entry.faults ?? 0) + 1;
    const isOver = faults >= MOST_FAULTS;
    await put({ ...entry, faults, state: isOver ? "refused" : "waiting", why: { code: "fault", fields: {} } });
  }
}

// Sends what may be sent. `live` is {order, token} of an entry whose page waits for the answer.
async function sendAll(renew, live) {
  const found = await entries();
  const isAlone = live && found.length === 1 && found[0].order === live.order;
  const here = isAlone ? { person: found[0].person, token: live.token } : await whoIsHere();
  if (!here?.person) return { kind: here ? "signed-out" : "away" };
  const held = new Set();
  let answer = { kind: "kept" };
  let sent = 0;
  for (const { order } of found) {
    const entry = await entryAt(order); // a person may have dropped it meanwhile
    if (!entry) continue;
    const things = thingsOf(entry);
    const mayGo = entry.state !== "refused" && entry.person === here.person && !things.some((each) => held.has(each));
    if (!mayGo) {
      things.forEach((each) => held.add(each));
      continue;
    }
    await renew();
    const isLive = order === live?.order;
    const mode = isLive ? "now" : "1";
    const result = await sendOnce(entry, mode, here);
    await settle(entry, result, mode);
    if (isLive) answer = result;
    else if (result.kind === "done") sent += 1;
    if (["away", "signed-out", "other-person", "fault"].includes(result.kind)) return result;
    if (["refused", "page"].includes(result.kind)) things.forEach((each) => held.add(each));
  }
  return live ? answer : { kind: "through", sent };
}

export async function sendWaiting(live = null) {
  for (let tries = live ? LIVE_TRIES : 1; tries; tries -= 1) {
    const result = await alone((renew) => sendAll(renew, live));
    if (result !== "busy") return result;
    if (tries > 1) await new Promise((resolve) => setTimeout(resolve, LIVE_PAUSE_MS));
  }
  return { kind: "busy" };
}

// For a browser that can keep nothing: sent at once or not at all.
export const sendUnkept = (entry, token) => sendOnce(entry, "now", { token });
