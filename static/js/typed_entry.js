// What was typed into a form, as an entry that can wait; and a waiting entry back into its form.
import { newKey } from "./queue.js";
import { now } from "./sending.js";

const MASSES = ["mass", "gross", "net"];
const BARE = /^\s*\d[\d\s.,]{0,14}$/; // with its unit it still fits into the field
const NOT_SHOWN = ["hidden", "submit", "button", "image", "reset"];

// A form that becomes an act: it is sent once and carries the act's key.
export function isAct(form) {
  return form.getAttribute("method")?.toLowerCase() === "post" && form.hasAttribute("data-once") && Boolean(keyOf(form));
}

const keyOf = (form) => [...form.elements].find((control) => control.name === "key" && control.type === "hidden");
export const tokenOf = (form) => [...form.elements].find((control) => control.name === "csrfmiddlewaretoken");

export function actForms() {
  return [...document.querySelectorAll("form[data-once]")].filter(isAct);
}

export function renewKeys() {
  for (const form of actForms()) keyOf(form).value = newKey();
}

function textOf(element) {
  return element ? (element.innerText || element.textContent).replace(/\s+/g, " ").trim() : "";
}

function labelOf(control) {
  const group = control.closest("fieldset")?.querySelector("legend") ?? control.labels?.[0];
  const seen = group?.cloneNode(true);
  seen?.querySelectorAll(".visually-hidden, .field-optional").forEach((piece) => piece.remove());
  return textOf(seen);
}

function valueOf(control) {
  if (control.type === "file") return [...control.files].map((file) => file.name).join(", ");
  if (control.tagName === "SELECT") return control.value && [...control.selectedOptions].map(textOf).join(", ");
  if (["checkbox", "radio"].includes(control.type)) return control.checked ? textOf(control.labels?.[0]) || "✓" : "";
  const unit = control.closest(".field-control")?.querySelector(".field-unit");
  return control.value && unit ? `${control.value} ${textOf(unit)}` : control.value;
}

// The fields in words, for the list of what waits.
function inWords(form) {
  const isSeen = (control) => control.offsetParent || control.closest("details:not([open])");
  const shown = [...form.elements].filter((control) => control.name && isSeen(control) && !NOT_SHOWN.includes(control.type));
  return shown.map((control) => [labelOf(control), valueOf(control)]).filter(([label, value]) => label && value);
}

// A bare number takes its unit along: by the time it is sent the workshop may weigh in others.
function withUnit(form, [name, value]) {
  const box = [...form.elements].find((control) => control.name === name && control.dataset.unit);
  if (!box || !BARE.test(value)) return [name, value];
  const chosen = box.closest(".weighing")?.querySelector("[name=unit]:checked, [name$='-unit']:checked")?.value;
  return [name, `${value.trim()} ${chosen ?? box.dataset.unit}`];
}

function contentOf(form, submitter) {
  const typed = [...new FormData(form)].filter(([name]) => name !== "csrfmiddlewaretoken");
  const content = typed.map((pair) => withUnit(form, pair));
  if (submitter?.name) content.push([submitter.name, submitter.value]);
  return content
    .filter(([, value]) => typeof value === "string" || value.size)
    .map(([name, value]) => (typeof value === "string" ? [name, value] : [name, value, value.name]));
}

// Filled in for live entries too: sent again with another time it would be another entry.
function withTime(fields, typedAt) {
  if (fields.some(([name, value]) => name === "happened_at" && value)) return fields;
  return [...fields.filter(([name]) => name !== "happened_at"), ["happened_at", typedAt.toISOString()]];
}

export function entryOf(form, submitter, { person, before = null }) {
  const action = submitter?.getAttribute("formaction") ?? form.getAttribute("action") ?? "";
  const address = new URL(action || location.href, location.href);
  const typedAt = before ? new Date(before.typedAt) : now();
  const typed = contentOf(form, submitter);
  const entry = {
    address: address.pathname + address.search,
    page: location.pathname + location.search,
    form: form.id,
    fields: withTime(typed, typedAt),
    hasOwnTime: typed.some(([name, value]) => name === "happened_at" && value),
    title: textOf(document.querySelector("h1")),
    about: textOf([...document.querySelectorAll("main .card-title")].find((title) => !form.contains(title))),
    button: textOf(submitter),
    words: inWords(form),
    person,
    typedAt: typedAt.getTime(),
    state: "waiting",
  };
  return before ? { ...entry, order: before.order, corrects: true, why: before.why } : entry;
}

// Back into the form

// In today's unit a number needs none behind it.
function inBox(control, value) {
  const unit = ` ${control.dataset.unit}`;
  return control.dataset.unit && value.endsWith(unit) ? value.slice(0, -unit.length) : value;
}

function choose(control, values) {
  if (["checkbox", "radio"].includes(control.type)) control.checked = values.includes(control.value);
  else if (control.tagName === "SELECT") for (const option of control.options) option.selected = values.includes(option.value);
  else control.value = inBox(control, values[0] ?? "");
}

function attach(control, files) {
  const basket = new DataTransfer();
  for (const file of files) basket.items.add(file);
  control.files = basket.files;
}

export function fillIn(form, entry) {
  for (const control of form.elements) {
    const isTime = control.name === "happened_at" && !entry.hasOwnTime;
    if (!control.name || isTime || NOT_SHOWN.includes(control.type)) continue;
    const values = entry.fields.filter(([name]) => name === control.name).map(([, value]) => value);
    if (control.type === "file") attach(control, values);
    else choose(control, values);
    if (values.some(Boolean)) control.closest("details")?.setAttribute("open", "");
    for (const kind of ["input", "change"]) control.dispatchEvent(new Event(kind, { bubbles: true }));
  }
}

// After an entry is kept the form is empty: what it showed is in the list now, and a mass that
// stayed in its box would be sent twice. What an earlier try was refused for is mended by now.
export function empty(form) {
  form.reset();
  form.querySelectorAll(".errorlist").forEach((each) => each.remove());
  for (const control of form.elements) {
    const wasRefused = control.getAttribute("aria-invalid") === "true";
    control.removeAttribute("aria-invalid");
    const isTyped = !["checkbox", "radio"].includes(control.type) && control.tagName !== "SELECT";
    if (!MASSES.includes(control.name) && !(wasRefused && isTyped)) continue;
    control.value = "";
    control.dispatchEvent(new Event("input", { bubbles: true }));
  }
  renewKeys();
}

// Whether nobody has begun to fill anything in, so that the page may be fetched anew.
export function isUntouched() {
  if (document.querySelector("dialog[open]")) return false;
  const typed = document.querySelectorAll("main input:not([type=hidden]), main select, main textarea");
  return [...typed].every(isAsItCame);
}

function isAsItCame(control) {
  if (["checkbox", "radio"].includes(control.type)) return control.checked === control.defaultChecked;
  if (control.tagName !== "SELECT") return control.value === control.defaultValue;
  const chosen = [...control.options].findIndex((option) => option.defaultSelected);
  return control.multiple || control.selectedIndex === Math.max(chosen, 0);
}
