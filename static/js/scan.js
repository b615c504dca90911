// Looks up what was scanned, by whatever means, and does with it what the page is for: fills the field
// that waits for it (data-scan-into="bin", or several kinds), else goes where the scan leads. A page on
// which something is typed and not sent is never left by itself; then it is told what was scanned.
const box = document.querySelector("[data-scan-box]");
const said = document.querySelector("[data-scan-said]");
const PHOTO_EDGE = 2000;
const PHOTO_QUALITY = 0.85;

function fill(sentence, facts) {
  return sentence.replace(/\{(\w+)\}/g, (_whole, name) => facts[name] ?? "");
}

// What is told

function tell(where, sentence, { isNo = false, links = [] } = {}) {
  const text = document.createElement("span");
  text.textContent = sentence;
  where.dataset.kind = isNo ? "no" : "yes";
  where.replaceChildren(text, ...links);
}

function link(found) {
  const made = document.createElement("a");
  made.className = "button";
  made.href = found.url;
  made.textContent = fill(box.dataset.sayOpen, { name: found.name || found.text });
  return made;
}

// What is on the page

function isTyped(control) {
  if (control.type === "hidden" || control.type === "submit" || !control.name) return false;
  if (control.type === "checkbox" || control.type === "radio") return control.checked !== control.defaultChecked;
  if (control.type === "file") return control.files.length > 0;
  return "defaultValue" in control && control.value !== control.defaultValue;
}

function hasUnsent() {
  const forms = [...document.querySelectorAll("main form")].filter((form) => form.method === "post");
  const ours = forms.filter((form) => !form.matches("[data-scan-photo]"));
  return ours.some((form) => form.querySelector(".errorlist") || [...form.elements].some(isTyped));
}

function waitingFields() {
  const fields = [...document.querySelectorAll("main [data-scan-into]")].filter((field) => !field.disabled);
  const focused = fields.filter((field) => field === document.activeElement);
  return [...focused, ...fields];
}

const takes = (field, kind) => field.dataset.scanInto.split(" ").includes(kind);
const nameOf = (field) => (field.labels?.[0]?.firstChild?.textContent ?? field.name).trim();

const choicesBeside = (field) => [...(field.form?.elements ?? [])].filter((each) => each.type === "radio");

function pick(choice) {
  choice.closest("details")?.setAttribute("open", "");
  choice.checked = true;
  choice.dispatchEvent(new Event("change", { bubbles: true }));
}

// data-scan-with names the choice that a typed text belongs to, such as "other"; a form whose field
// says data-scan-sends needs nothing else, and is sent.
function put(field, value) {
  const along = choicesBeside(field).find((each) => each.value === field.dataset.scanWith);
  if (along) pick(along);
  field.closest("details")?.setAttribute("open", "");
  field.value = value;
  field.dataset.scanned = "";
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.dispatchEvent(new Event("change", { bubbles: true }));
  field.scrollIntoView({ block: "center" });
}

function choose(field, found) {
  const choice = choicesBeside(field).find((each) => each.value === found.code);
  if (!choice) return false;
  field.value = "";
  pick(choice);
  choice.closest("label, li, div").scrollIntoView({ block: "center" });
  return true;
}

// What becomes of a scan

function go(code) {
  box.querySelector("[data-scan-field]").value = code;
  box.submit();
}

function settle(found) {
  const fields = waitingFields();
  const field = fields.find((each) => found.kind && takes(each, found.kind));
  if (field) {
    const sentence = choose(field, found) ? box.dataset.sayChosen : box.dataset.sayFilled;
    if (sentence === box.dataset.sayFilled) put(field, found.kind === "bin" ? found.name : found.code);
    tell(said, fill(sentence, { name: found.name, field: nameOf(field) }));
    if ("scanSends" in field.dataset) field.form.requestSubmit();
    return;
  }
  const parts = [found.sentence];
  if (found.kind && fields.length) parts.push(fill(box.dataset.sayNoField, { field: nameOf(fields[0]) }));
  else if (found.fits && !hasUnsent()) return go(found.code);
  else if (found.fits) parts.push(box.dataset.sayUnsent);
  tell(said, parts.join(" "), { isNo: true, links: found.url ? [link(found)] : [] });
}

async function ask(text) {
  const query = new URLSearchParams(new FormData(box));
  query.delete("code");
  query.set("text", text);
  const answer = await fetch(`${box.dataset.ask}?${query}`, { headers: { Accept: "application/json" } });
  const content = await answer.json();
  return answer.ok ? content : { kind: "", text, sentence: content.detail, fits: false };
}

async function lookUp(text) {
  if (!waitingFields().length && !hasUnsent()) return go(text);
  tell(said, box.dataset.sayLooking);
  try {
    settle(await ask(text));
  } catch {
    withoutNetwork(text);
  }
}

function withoutNetwork(text) {
  const field = waitingFields()[0];
  if (!field) return tell(said, box.dataset.sayDead, { isNo: true });
  put(field, text);
  tell(said, fill(box.dataset.sayUnsure, { text, field: nameOf(field) }), { isNo: true });
}

// Photos

async function smaller(file) {
  try {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, PHOTO_EDGE / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const made = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", PHOTO_QUALITY));
    return made && made.size < file.size ? made : file;
  } catch {
    return file; // what the browser cannot read, the server says in a sentence
  }
}

function choicesOf(codes) {
  return codes.map((found) => {
    const choice = document.createElement("button");
    choice.type = "button";
    choice.className = "button";
    choice.textContent = found.name;
    choice.addEventListener("click", () => {
      closePanel();
      settle(found);
    });
    return choice;
  });
}

function closePanel() {
  document.querySelector("[data-scan-panel]").open = false;
}

async function sendPhoto(form) {
  const say = form.querySelector("[data-scan-say]");
  const field = form.querySelector("input[type=file]");
  if (!field.files.length) return;
  tell(say, form.dataset.sayReading);
  const body = new FormData(form);
  body.set("photo", await smaller(field.files[0]), "photo.jpg");
  const token = form.querySelector("[name=csrfmiddlewaretoken]").value;
  try {
    const options = { method: "POST", body, headers: { "X-CSRFToken": token, Accept: "application/json" } };
    const answer = await fetch(form.dataset.ask, options);
    const content = await answer.json();
    field.value = "";
    if (!answer.ok) return tell(say, content.detail, { isNo: true });
    const known = content.codes.filter((found) => found.kind);
    if (known.length > 1) return tell(say, form.dataset.saySeveral, { links: choicesOf(known) });
    say.replaceChildren();
    closePanel();
    settle(known[0]);
  } catch {
    tell(say, form.dataset.sayDead, { isNo: true });
  }
}

document.addEventListener("scan:read", (event) => lookUp(event.detail.text));

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.matches("[data-scan-photo]")) {
    event.preventDefault();
    sendPhoto(form);
  } else if (form === box && (waitingFields().length || hasUnsent())) {
    event.preventDefault();
    lookUp(box.querySelector("[data-scan-field]").value);
  }
});

document.addEventListener("click", (event) => {
  const recent = event.target.closest("[data-scan-code]");
  if (!recent) return;
  event.preventDefault();
  closePanel();
  lookUp(recent.dataset.scanCode);
});

document.addEventListener("input", (event) => {
  if (event.isTrusted) delete event.target.dataset.scanned;
});

for (const form of document.querySelectorAll("[data-scan-photo]")) {
  form.dataset.ready = ""; // it is sent as soon as it is taken
  form.querySelector("[type=submit]").hidden = true;
  form.querySelector("input[type=file]").addEventListener("change", () => sendPhoto(form));
}
