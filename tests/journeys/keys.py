"""A page by the keyboard alone: what Tab reaches, in which order, and whether one sees where one is."""

# What a person sees and may use, once each: of a group of radios the keyboard stops at one.
EXPECTED = """
() => {
  const all = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']";
  const seen = [...document.querySelectorAll(all)].filter((node) =>
    !node.disabled && node.tabIndex >= 0 && node.checkVisibility({ visibilityProperty: true }));
  const groups = new Set();
  const stops = seen.filter((node) => {
    if (node.type !== "radio") return true;
    const group = `${node.form?.id} ${node.name}`;
    return !groups.has(group) && groups.add(group);
  });
  stops.forEach((node, at) => (node.dataset.stop = at));
  return stops.length;
}
"""
# Where the keyboard stands: its number (that of its group), or why one would not know.
STANDS = """
() => {
  const node = document.activeElement;
  if (!node || node === document.body) return { stop: -1, faults: [] };
  const first = node.type === "radio"
    ? [...document.getElementsByName(node.name)].find((each) => each.form === node.form) : node;
  const told = `${node.tagName.toLowerCase()} “${
    (node.innerText || node.getAttribute("aria-label") || node.name || "").trim().slice(0, 30)}”`;
  const faults = [];
  const ring = [node, node.closest("label")].filter(Boolean).map((each) => getComputedStyle(each));
  const isSeen = ring.some((style) => style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2);
  if (!isSeen) faults.push(`no ring: ${told}`);
  const room = node.getBoundingClientRect();
  const isIn = room.bottom > 0 && room.top < innerHeight && room.right > 0 && room.left < innerWidth;
  if (!isIn) faults.push(`out of sight: ${told}`);
  const bars = [...document.querySelectorAll(".top-bar, .action-bar")].filter((bar) => !bar.contains(node));
  const isUnder = !node.matches(".skip-link") && bars.some((bar) => {
    const over = bar.getBoundingClientRect();
    return over.height && room.top >= over.top - 1 && room.bottom <= over.bottom + 1;
  });
  if (isUnder) faults.push(`under a bar: ${told}`);
  const isFlow = Boolean(node.closest("main .page"));
  const place = isFlow ? [room.left, room.right, room.top + scrollY, room.bottom + scrollY] : null;
  return { stop: Number(first.dataset.stop ?? -2), faults, told, place };
}
"""
PARTS = 4  # the most stops within one box


def walk(page) -> list[str]:
    """Press Tab through the whole page; return what is wrong with where it leads."""
    count, reached, wrong, before = page.evaluate(EXPECTED), [], [], None
    page.evaluate("() => { scrollTo(0, 0); document.querySelector('.skip-link').focus(); }")
    for _number in range(count * PARTS):
        stands = page.evaluate(STANDS)
        if stands["stop"] < 0 or stands["stop"] in reached[:-1]:
            break  # all round
        if stands["stop"] not in reached:  # a box for a day has parts of its own
            reached.append(stands["stop"])
            wrong += stands["faults"]
            if before and stands["place"] and is_above(stands["place"], before):
                wrong.append(f"goes up to {stands['told']}")
            before = stands["place"]
        page.keyboard.press("Tab")
    missed = sorted(set(range(count)) - set(reached))
    return [
        *wrong,
        *([f"not reached: {missed} of {count}"] if missed else []),
        *([] if reached == sorted(reached) else [f"out of order: {reached}"]),
    ]


def is_above(place: list[float], before: list[float]) -> bool:
    """Return whether a place lies in the same column as the one before, and wholly above it."""
    left, right, _top, bottom = place
    is_same_column = left < before[1] and before[0] < right
    return is_same_column and bottom < before[2]
