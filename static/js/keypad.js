// Large keys for number fields. They type into the number field of their form that had the focus last,
// at first the first one that is empty; a keyboard goes on typing into it as into any field. What a
// field came filled in with is replaced by the first key, not added to.
const NUMBER = "input[inputmode='decimal'], input[inputmode='numeric']";
const isTouched = matchMedia("(pointer: coarse)").matches;

function fieldsOf(pad) {
  const fields = [...pad.closest("form").querySelectorAll("[data-number]")];
  return fields.filter((field) => !field.disabled && field.offsetParent !== null);
}

function targetOf(pad) {
  const fields = fieldsOf(pad);
  const chosen = fields.find((field) => field === pad.target) ?? fields.find((field) => field.matches("[aria-invalid]"));
  return chosen ?? fields.find((field) => !field.value) ?? fields[0];
}

function aim(pad, field) {
  pad.target = field;
  for (const each of fieldsOf(pad)) each.toggleAttribute("data-keypad-target", each === field);
}

function withKey(field, key) {
  const text = field.dataset.fresh === undefined ? field.value : "";
  if (key === "back") return text.slice(0, -1);
  if (key !== ".") return text + key;
  return field.dataset.number === "numeric" || /[.,]/.test(text) ? text : `${text || "0"}.`;
}

function press(pad, key) {
  const field = targetOf(pad);
  if (!field) return;
  const text = withKey(field, key);
  if (field.maxLength > 0 && text.length > field.maxLength) return;
  field.value = text;
  aim(pad, field);
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function take(pad, field) {
  field.dataset.number = field.inputMode;
  if (field.value) field.dataset.fresh = "";
  field.addEventListener("focus", () => {
    aim(pad, field);
    if (field.dataset.fresh !== undefined) field.select();
  });
  field.addEventListener("input", () => delete field.dataset.fresh);
  if (isTouched) field.inputMode = "none"; // the tablet's own keys would cover these
}

function wire(pad) {
  const form = pad.closest("form");
  for (const field of form.querySelectorAll(NUMBER)) take(pad, field);
  pad.hidden = false;
  pad.addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps the focus
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]")?.dataset.key;
    if (key) press(pad, key);
  });
  form.addEventListener("change", () => aim(pad, targetOf(pad)));
  const focused = fieldsOf(pad).find((field) => field === document.activeElement);
  aim(pad, focused ?? targetOf(pad));
  if (document.activeElement === document.body) pad.target?.focus({ preventScroll: true });
}

for (const pad of document.querySelectorAll("[data-keypad]")) wire(pad);
