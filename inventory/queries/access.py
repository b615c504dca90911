"""Who may do what: one table, read by every page and every API view."""

OPERATOR, LEAD, AUDITOR = "operator", "lead", "auditor"
ROLES = (LEAD, OPERATOR, AUDITOR)

FLOOR = frozenset({OPERATOR, LEAD})
DESK = frozenset({LEAD})

ACTS = {
    "address.move": DESK,
    "blend.switch": DESK,
    "bin.create": DESK,
    "bin.edit": DESK,
    "bin.empty": FLOOR,
    "bin.retire": DESK,
    "delivery.receive": FLOOR,
    "delivery.refuse": FLOOR,
    "design.edit": DESK,
    "grid.edit": DESK,
    "hold.lift": DESK,
    "hold.place": FLOOR,
    "label.print": FLOOR,
    "label.void": FLOOR,
    "lot.dispose": FLOOR,
    "lot.identify": DESK,
    "lot.move": FLOOR,
    "machine.edit": DESK,
    "machine.purge": FLOOR,
    "part.hand-over": FLOOR,
    "part.take-back": FLOOR,
    "passport.issue": FLOOR,
    "posting.reverse": DESK,
    "run.abandon": FLOOR,
    "run.close": FLOOR,
    "run.load": FLOOR,
    "run.open": FLOOR,
    "run.reopen": DESK,
    "run.yield": FLOOR,
    "scale.edit": DESK,
    "source.edit": FLOOR,
}


def role_of(user) -> str:
    """Return the user's role, empty when there is none; a superuser is a lead."""
    if not user.is_authenticated or not user.is_active:
        return ""
    if not hasattr(user, "_workshop_role"):
        names = set(user.groups.values_list("name", flat=True))
        roles = [role for role in ROLES if role in names]
        user._workshop_role = LEAD if user.is_superuser else (roles[0] if roles else "")  # noqa: SLF001
    return user._workshop_role  # noqa: SLF001


def may(user, act: str) -> bool:
    """Return whether the user may do an act of the table; an act not in it is an error."""
    return role_of(user) in ACTS[act]
