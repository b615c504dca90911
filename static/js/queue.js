// Entries that wait to be sent, in the browser's own database, so that they outlast a closed
// browser and a tablet without power. Each has its place in the order for good: one that a person
// corrects comes back to the place where it stood.
const NAME = "waiting-entries";
const MOST_LINES = 100;
const LEASE_MS = 90 * 1000; // longer than any one entry takes

let opened = null;

function finished(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function open() {
  const request = indexedDB.open(NAME, 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore("entries", { keyPath: "order", autoIncrement: true });
    request.result.createObjectStore("lines", { keyPath: "number", autoIncrement: true });
    request.result.createObjectStore("leases", { keyPath: "name" });
  };
  return finished(request).then((database) => {
    database.onversionchange = () => database.close();
    database.onclose = () => (opened = null);
    return database;
  });
}

// "strict" waits until the entry is on the disk: a tablet may lose its power the next moment.
async function inStore(name, mode, work) {
  opened ??= open();
  const database = await opened.catch((error) => {
    opened = null;
    throw error;
  });
  const step = database.transaction(name, mode, { durability: "strict" });
  const ended = new Promise((resolve, reject) => {
    step.oncomplete = resolve;
    step.onerror = step.onabort = () => reject(step.error);
  });
  const result = await work(step.objectStore(name));
  await ended;
  return result;
}

export const entries = () => inStore("entries", "readonly", (store) => finished(store.getAll()));
export const entryAt = (order) => inStore("entries", "readonly", (store) => finished(store.get(order)));
export const remove = (order) => inStore("entries", "readwrite", (store) => finished(store.delete(order)));

// Returns the entry's place in the order; one that has a place already is written over there.
export const put = (entry) => inStore("entries", "readwrite", (store) => finished(store.put(entry)));

export const lines = () => inStore("lines", "readonly", (store) => finished(store.getAll()));

// What became of entries, for the person at this tablet; the newest hundred lines.
export function writeLine(line) {
  return inStore("lines", "readwrite", async (store) => {
    const newest = await finished(store.add(line));
    await finished(store.delete(IDBKeyRange.upperBound(newest - MOST_LINES)));
  });
}

// Only one tab sends at a time. Where the browser has no locks (plain http), a lease that runs out does.
async function takeLease(holder, forMs) {
  return inStore("leases", "readwrite", async (store) => {
    const held = await finished(store.get("sending"));
    const isFree = !held || held.holder === holder || held.until < Date.now();
    if (isFree) await finished(store.put({ name: "sending", holder, until: Date.now() + forMs }));
    return isFree;
  });
}

async function dropLease(holder) {
  await inStore("leases", "readwrite", async (store) => {
    const held = await finished(store.get("sending"));
    if (held?.holder === holder) await finished(store.delete("sending"));
  });
}

// Runs the work unless another tab is at it; `renew` keeps the lease while the work goes on.
export async function alone(work) {
  if (navigator.locks) {
    const options = { ifAvailable: true };
    return navigator.locks.request(NAME, options, (lock) => (lock ? work(async () => {}) : "busy"));
  }
  const holder = newKey();
  const renew = () => takeLease(holder, LEASE_MS);
  if (!(await renew())) return "busy";
  return work(renew).finally(() => dropLease(holder));
}


// A random UUID; crypto.randomUUID is missing over plain http.
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
