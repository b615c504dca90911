// The service worker: keeps pages that were seen, and shows them when the network is dead.
// A page is kept for the person whom the server made it for (header X-Person), in a cache of that
// person's own; all are dropped when somebody signs out. Sign-in pages and answers to POST carry
// no such header or are no GET, and are never kept. Forms are kept though they say no-store: their
// act keys are made anew when a kept page is shown.
const { version, places, firstPages, signInPages, offlinePage, scanPage, turnPlace, listAddress } = self.KEPT;
const FILES = `files-${version}`;
const FACTS = "facts";
const PATIENCE_MS = 6000; // then a kept page is shown rather than a white one
const AWAY = [502, 503, 504];
const LIST_EVERY_MS = 15 * 60 * 1000;
const PAGE_EVERY_MS = 60 * 60 * 1000;
const BREATH_MS = 100; // between pages fetched ahead, so that the person at the tablet goes first
const MOST_PAGES = 600;
const MOST_STEPS = 40; // links followed from one run or bin
const HASHED = /\.[0-9a-f]{12}\.\w+$/;
const NO_STEP = /\/(edit|retire|history|reopen|photo|label|print)\//;

const pagesOf = (person) => `pages-${version}-${person}`;
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

// Small facts live in a cache too: the worker is stopped and started at any time.

async function fact(name) {
  const found = await (await caches.open(FACTS)).match(`/kept/${name}`);
  return found ? found.json() : null;
}

async function setFact(name, value) {
  await (await caches.open(FACTS)).put(`/kept/${name}`, new Response(JSON.stringify(value)));
}

async function forget() {
  for (const name of await caches.keys()) {
    if (name.startsWith("pages-") || name === FACTS) await caches.delete(name);
  }
}

async function dropOldVersions() {
  for (const name of await caches.keys()) {
    const isOld = /^(pages|files)-/.test(name) && !name.startsWith(`pages-${version}-`) && name !== FILES;
    if (isOld) await caches.delete(name);
  }
}

// Keeping

function mayKeep(url, response) {
  const isPage = (response.headers.get("Content-Type") ?? "").startsWith("text/html");
  const isOurs = firstPages.includes(url.pathname) || places.some((place) => url.pathname.startsWith(place));
  return response.status === 200 && !response.redirected && isPage && isOurs && response.headers.has("X-Person");
}

async function keep(url, response) {
  if (!mayKeep(url, response)) return "";
  const headers = new Headers(response.headers);
  for (const name of ["Content-Encoding", "Content-Length", "Vary"]) headers.delete(name);
  headers.set("X-Seen-At", new Date().toISOString());
  const text = await response.text();
  const cache = await caches.open(pagesOf(response.headers.get("X-Person")));
  await cache.put(url.href, new Response(text, { headers }));
  return text;
}

async function trim(cache) {
  const kept = await cache.keys(); // oldest first
  for (const request of kept.slice(0, Math.max(0, kept.length - MOST_PAGES))) await cache.delete(request);
}

async function seenNow(url, response) {
  const person = response.headers.get("X-Person");
  if (signInPages.includes(url.pathname)) return forget();
  if (person && person !== (await fact("person"))) await setFact("person", person);
  await keep(url, response);
}

// Showing

async function currentPages() {
  const person = await fact("person");
  return person ? caches.open(pagesOf(person)) : null;
}

// As the server reads a typed name: no hyphens or spaces, the tail of an address, look-alike letters.
async function thingCalled(text) {
  const codes = (await fact("codes")) ?? {};
  const tail = /\/q\/([^/?#]+)/.exec(text);
  const name = (tail ? tail[1] : text).toUpperCase().replace(/[-\s]/g, "");
  const code = name.replace(/[ILO]/g, (letter) => ({ I: "1", L: "1", O: "0" })[letter]);
  return codes[name] ?? codes[code];
}

// The page itself; else one of its address that answers all that is asked, a scanned name taken for
// its lot; else the page of the address alone, from which one can choose.
async function keptPage(url) {
  const cache = await currentPages();
  if (!cache) return null;
  const exact = await cache.match(url.href);
  if (exact) return exact;
  const asked = new URLSearchParams(url.search);
  const lot = (await thingCalled(asked.get("from") ?? ""))?.lot;
  if (lot) asked.set("from", lot);
  const near = await cache.keys(url.href, { ignoreSearch: true });
  const fits = ({ searchParams }) => [...asked].every(([name, value]) => searchParams.get(name) === value);
  const found = url.search && near.find((request) => fits(new URL(request.url)));
  return cache.match(found || url.origin + url.pathname);
}

async function asSeen(response) {
  const headers = new Headers(response.headers);
  const text = (await response.text()).replace("<html", `<html data-seen-at="${headers.get("X-Seen-At")}"`);
  return new Response(text, { headers });
}

// Where a scanned code leads, without asking the server.
async function scanned(url) {
  const typed = decodeURIComponent(url.pathname.slice(scanPage.length)) || url.searchParams.get("code") || "";
  const thing = typed && (await thingCalled(typed));
  return thing ? Response.redirect(new URL(thing.page, url.origin), 302) : null;
}

async function withoutNetwork(url) {
  const isScan = url.pathname.startsWith(scanPage) && url.href !== url.origin + scanPage;
  if (isScan) return scanned(url);
  const kept = await keptPage(url);
  return kept ? asSeen(kept) : null;
}

async function unseen(url) {
  const page = await keptPage(new URL(offlinePage, url.origin));
  return page ? asSeen(page) : Response.error();
}

async function shown(event) {
  const url = new URL(event.request.url);
  const network = fetch(event.request);
  network.catch(() => {}); // seen to below
  const spare = await withoutNetwork(url);
  const late = spare ? pause(PATIENCE_MS).then(() => null) : new Promise(() => {});
  try {
    const answer = await Promise.race([network, late]);
    if (!answer || (spare && AWAY.includes(answer.status))) return spare;
    if (answer.type !== "opaqueredirect") event.waitUntil(seenNow(url, answer.clone()));
    return answer;
  } catch {
    return spare ?? unseen(url);
  }
}

// Files: those with a hash in their name never change; others are asked for first.

async function file(event) {
  const cache = await caches.open(FILES);
  const isFixed = HASHED.test(new URL(event.request.url).pathname);
  const kept = await cache.match(event.request);
  if (kept && isFixed) return kept;
  try {
    const answer = await fetch(event.request);
    if (answer.status === 200) event.waitUntil(cache.put(event.request, answer.clone()));
    return answer;
  } catch {
    return kept ?? Response.error();
  }
}

async function keepFiles(addresses) {
  const cache = await caches.open(FILES);
  for (const address of addresses) {
    const url = new URL(address, self.location.origin);
    const isOurs = url.origin === self.location.origin && url.pathname.startsWith(self.KEPT.static);
    if (isOurs && !(await cache.match(url.href))) await cache.add(url.href).catch(() => {});
  }
}

// Fetching ahead: what is open now, so that one visit is enough

function stepsOf(text, url) {
  const found = [...text.matchAll(/href="([^"#]+)"/g)].map((match) => new URL(match[1].replaceAll("&amp;", "&"), url));
  const isStep = (step) => step.pathname.startsWith(url.pathname) || /^\/lots\/\w+\/move\//.test(step.pathname);
  return found.filter((step) => step.origin === url.origin && isStep(step) && !NO_STEP.test(step.pathname));
}

async function text(cache, url) {
  const kept = await cache.match(url.href);
  if (kept && Date.now() - Date.parse(kept.headers.get("X-Seen-At")) < PAGE_EVERY_MS) return kept.text();
  await pause(BREATH_MS);
  const headers = { "X-Fetched-Ahead": "yes" }; // or it would use up what the next page is to say
  return keep(url, await fetch(url.href, { credentials: "same-origin", priority: "low", headers }));
}

async function keepThing(cache, root) {
  const done = new Set([root.href]);
  let left = [root];
  for (const depth of [0, 1, 2]) {
    const next = [];
    for (const url of left) {
      const found = stepsOf(await text(cache, url), url);
      if (depth < 2) next.push(...found.filter((step) => !done.has(step.href) && done.add(step.href)));
    }
    left = next.slice(0, MOST_STEPS);
  }
}

async function keepAhead() {
  const before = (await fact("listed-at")) ?? 0;
  if (Date.now() - before < LIST_EVERY_MS) return;
  await setFact("listed-at", Date.now());
  const answer = await fetch(listAddress, { credentials: "same-origin", redirect: "manual" });
  if (answer.status !== 200) return setFact("listed-at", 0);
  const list = await answer.json();
  const person = answer.headers.get("X-Person");
  await setFact("codes", list.codes);
  if (!(await fact("person"))) await setFact("person", person);
  const cache = await caches.open(pagesOf(person));
  const url = (address) => new URL(address, self.location.origin);
  for (const address of firstPages) await text(cache, url(address));
  for (const address of list.pages) {
    if ((await fact("person")) !== person) return;
    await keepThing(cache, url(address));
  }
  await trim(cache);
}

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(dropOldVersions().then(() => self.clients.claim())));

self.addEventListener("message", (event) => {
  if (event.data.say !== "keep") return;
  event.waitUntil(keepFiles(event.data.files).then(keepAhead).catch(() => setFact("listed-at", 0)));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== self.location.origin) return;
  const isPage = event.request.mode === "navigate";
  if (isPage && event.request.method === "POST" && signInPages.includes(url.pathname)) event.waitUntil(forget());
  // Another person takes over here: until the server names one, nobody's pages are shown.
  if (isPage && url.pathname.startsWith(turnPlace)) event.waitUntil(setFact("person", ""));
  if (event.request.method !== "GET") return;
  if (isPage) event.respondWith(shown(event));
  else if (url.pathname.startsWith(self.KEPT.static)) event.respondWith(file(event));
});
