// An open menu closes when the tap lands elsewhere or on Escape. Without script it closes
// by its own title.
function closeMenus(except) {
  for (const menu of document.querySelectorAll("[data-menu][open]")) {
    if (!menu.contains(except)) menu.open = false;
  }
}

document.addEventListener("click", (event) => closeMenus(event.target));

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  const menu = event.target.closest("[data-menu][open]");
  closeMenus(null);
  menu?.querySelector("summary").focus();
});
