// The live camera of the scan panel: runs while the panel is open and the page is seen, and stops on the
// first of our codes. BarcodeDetector reads it where the browser has one; else small pictures go to the
// server, one at a time. Without a secure address there is no camera; then the photo field remains.
const panel = document.querySelector("[data-scan-panel]");
const live = document.querySelector("[data-scan-live]");
const box = document.querySelector("[data-scan-box]");
const video = live.querySelector("[data-scan-video]");
const say = live.querySelector("[data-scan-say]");
const button = live.querySelector("[name=start-camera]");

const FRAME_EDGE = 1000;
const FRAME_QUALITY = 0.7;
const PAUSE_MS = { detector: 150, server: 350, trouble: 2000 };
const OFF_AFTER_MS = 60 * 1000;
const REFUSED = ["NotAllowedError", "SecurityError", "PermissionDeniedError"];
const NONE = ["NotFoundError", "OverconstrainedError", "DevicesNotFoundError"];

let stream = null;
let turn = 0; // a new one for each start, so that what belongs to an earlier one ends

const isPossible = () => window.isSecureContext && Boolean(navigator.mediaDevices?.getUserMedia);
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

function tell(name) {
  say.textContent = live.dataset[name] ?? name;
}

function stop(name = "") {
  turn += 1;
  stream?.getTracks().forEach((track) => track.stop());
  stream = null;
  video.srcObject = null;
  video.hidden = true;
  button.hidden = false;
  if (name) tell(name);
}

async function detector() {
  try {
    const kinds = (await window.BarcodeDetector?.getSupportedFormats()) ?? [];
    return kinds.includes("qr_code") ? new window.BarcodeDetector({ formats: ["qr_code"] }) : null;
  } catch {
    return null;
  }
}

function pictureNow() {
  const scale = Math.min(1, FRAME_EDGE / Math.max(video.videoWidth, video.videoHeight));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(video.videoWidth * scale);
  canvas.height = Math.round(video.videoHeight * scale);
  canvas.getContext("2d").drawImage(video, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", FRAME_QUALITY));
}

async function answerOf(address, options) {
  const response = await fetch(address, options);
  const content = await response.json();
  if (!response.ok) throw new Error(content.detail);
  return content;
}

async function readByServer() {
  const body = new FormData(box);
  body.delete("code");
  body.set("photo", await pictureNow(), "frame.jpg");
  const token = document.querySelector("[data-scan-photo] [name=csrfmiddlewaretoken]").value;
  const options = { method: "POST", body, headers: { "X-CSRFToken": token, Accept: "application/json" } };
  return (await answerOf(live.dataset.frames, options)).codes;
}

const meanings = new Map(); // each text is asked about once

async function meaning(text) {
  if (!meanings.has(text)) {
    const query = new URLSearchParams(new FormData(box));
    query.delete("code");
    query.set("text", text);
    meanings.set(text, await answerOf(`${box.dataset.ask}?${query}`, { headers: { Accept: "application/json" } }));
  }
  return meanings.get(text);
}

async function readHere(reader) {
  const seen = await reader.detect(video);
  return Promise.all(seen.map((each) => meaning(each.rawValue)));
}

async function look(mine) {
  let reader = await detector();
  const endsAt = Date.now() + OFF_AFTER_MS;
  while (turn === mine) {
    if (Date.now() > endsAt) return stop("sayOff");
    const wasReader = reader;
    try {
      const seen = video.videoWidth ? await (reader ? readHere(reader) : readByServer()) : [];
      if (turn !== mine) return;
      const ours = seen.find((found) => found.kind);
      if (ours) return hit(ours);
      tell(seen[0]?.sentence ?? "sayLooking");
      await pause(reader ? PAUSE_MS.detector : PAUSE_MS.server);
    } catch (error) {
      if (reader && error instanceof DOMException) reader = null; // it is there but does not work
      else tell(error instanceof TypeError ? "sayDead" : error.message || "sayDead");
      if (wasReader === reader) await pause(PAUSE_MS.trouble);
    }
  }
}

function hit(found) {
  stop();
  say.textContent = "";
  panel.open = false;
  document.dispatchEvent(new CustomEvent("scan:read", { detail: { text: found.code } }));
}

async function start() {
  stop("sayStarting");
  const mine = turn;
  button.hidden = true;
  try {
    const wanted = { facingMode: "environment", width: { ideal: 1280 }, height: { ideal: 960 } };
    const started = await navigator.mediaDevices.getUserMedia({ video: wanted, audio: false });
    if (turn !== mine) return started.getTracks().forEach((track) => track.stop());
    stream = started;
    video.srcObject = stream;
    video.hidden = false;
    tell("sayLooking");
    look(mine);
  } catch (error) {
    if (turn === mine) stop(whyNot(error));
  }
}

function whyNot({ name }) {
  if (REFUSED.includes(name)) return "sayRefused";
  return NONE.includes(name) ? "sayNone" : "sayBusy";
}

panel.addEventListener("toggle", () => {
  live.hidden = !isPossible();
  document.querySelector("[data-scan-insecure]").hidden = isPossible();
  if (panel.open && isPossible()) start();
  else stop();
});

document.addEventListener("visibilitychange", () => {
  if (document.hidden) panel.open = false;
});
window.addEventListener("pagehide", () => stop());
button.addEventListener("click", start);
