// A form marked data-once is sent once: a second tap in gloves does nothing until the page
// answers, comes back from history, or has been silent so long that the tap may be repeated.
const SILENCE_MS = 15000;

function mark(form, isSent) {
  form.toggleAttribute("data-sent", isSent);
  for (const control of form.elements) {
    if (control.type !== "submit") continue;
    if (isSent) control.setAttribute("aria-disabled", "true");
    else control.removeAttribute("aria-disabled");
  }
}

function release() {
  for (const form of document.querySelectorAll("form[data-sent]")) mark(form, false);
}

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.hasAttribute("data-once")) return;
    if (form.hasAttribute("data-sent")) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    mark(form, true);
    setTimeout(mark, SILENCE_MS, form, false);
  },
  true,
);

window.addEventListener("pageshow", release);
document.addEventListener("entry:answered", release);
document.addEventListener("htmx:afterRequest", release);
