// Large keys for a PIN. The box itself stays for keyboards; the keys of the tablet stay away from it.
for (const pad of document.querySelectorAll("[data-pin-pad]")) {
  const form = document.getElementById(pad.dataset.pinPad);
  const box = form.querySelector("[data-pin]");
  pad.hidden = false;
  box.inputMode = "none";
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("button");
    if (!key) return;
    if ("clear" in key.dataset) box.value = "";
    else if ("back" in key.dataset) box.value = box.value.slice(0, -1);
    else if (box.value.length < box.maxLength) box.value += key.dataset.digit;
  });
}
