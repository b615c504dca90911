"""What a glove, an eye and a small window need of a page, asked in the page itself."""

TARGET_PX = 48
GAP_PX = 8
TEXT_PX = 18

# Links in running text, what is in a closed panel, and a box inside its own large label are excepted.
FAULTS = """
([target, gap, text]) => {
  const faults = [];
  const told = (node) => `${node.tagName.toLowerCase()}.${node.className?.baseVal ?? node.className} “${
    (node.innerText || node.getAttribute("aria-label") || node.name || "").trim().slice(0, 30)}”`;
  const isSeen = (node) => node.checkVisibility({ visibilityProperty: true, opacityProperty: true }) &&
    !node.closest(".visually-hidden, .skip-link");
  const isInText = (node) => {
    if (node.tagName !== "A" || getComputedStyle(node).display !== "inline") return false;
    const around = node.parentElement.closest("h1, h2, p, li, dd, td, th, label, .errorlist");
    if (!around) return false;
    const rest = around.textContent.replace(node.textContent, "").trim();
    return rest.length > 3;
  };
  const boxed = (node) => {
    const label = node.closest("label");
    return ["INPUT"].includes(node.tagName) && ["radio", "checkbox"].includes(node.type) ? label ?? node : node;
  };
  const all = "a[href], button, input:not([type=hidden]), select, textarea, summary, " +
    "[tabindex='0']:not(.table-frame)";
  const targets = [...new Set([...document.querySelectorAll(all)].filter(isSeen).map(boxed))]
    .filter((node) => isSeen(node) && !isInText(node) && !node.matches("[role=region]"))
    .filter((node) => !node.matches("input, select, textarea") || node.type !== "hidden");
  const rooms = targets.map((node) => [node, node.getBoundingClientRect()])
    .filter(([, room]) => room.width > 1 && room.height > 1);
  for (const [node, room] of rooms) {
    if (room.width < target - 0.5 || room.height < target - 0.5)
      faults.push(`small ${Math.round(room.width)}x${Math.round(room.height)}: ${told(node)}`);
  }
  const fixed = (node) => Boolean(node.closest(".top-bar, .action-bar, .top-bar-menu, dialog"));
  for (const [index, [node, room]] of rooms.entries()) {
    for (const [other, next] of rooms.slice(index + 1)) {
      if (node.contains(other) || other.contains(node) || fixed(node) !== fixed(other)) continue;
      if (node.matches(".sheet-place") && other.matches(".sheet-place")) continue; // drawn to scale
      const across = Math.max(room.left - next.right, next.left - room.right);
      const down = Math.max(room.top - next.bottom, next.top - room.bottom);
      const apart = Math.max(across, down);
      if (apart < gap - 0.5) faults.push(`close ${Math.round(apart)}: ${told(node)} and ${told(other)}`);
    }
  }
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const small = new Set();
  while (walk.nextNode()) {
    const node = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || !isSeen(node)) continue;
    if (node.closest("svg, script, style, option")) continue;
    const size = parseFloat(getComputedStyle(node).fontSize);
    if (size < text - 0.1) small.add(`text of ${size}: ${told(node)}`);
  }
  return [...faults, ...small];
}
"""
WIDER = """
() => {
  const root = document.scrollingElement;
  if (root.scrollWidth <= root.clientWidth) return [];
  const out = [...document.querySelectorAll("body *")]
    .filter((node) => node.getBoundingClientRect().right > root.clientWidth + 1)
    .filter((node) => !node.closest(".table-frame, .visually-hidden"))
    .slice(0, 2).map((node) => `${node.tagName}.${node.className}`);
  return [`wider by ${root.scrollWidth - root.clientWidth}: ${out.join(", ")}`];
}
"""


def faults(page) -> list[str]:
    """Return which targets are small or close together and which text is small."""
    return page.evaluate(FAULTS, [TARGET_PX, GAP_PX, TEXT_PX])


def wider(page) -> list[str]:
    """Return what makes the page scroll sideways, if anything does."""
    return page.evaluate(WIDER)
