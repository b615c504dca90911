"""Who may do what: one table, read by every page and every API view."""

from collections.abc import Iterable

from django.contrib.auth.models import Group
from django.db.models import QuerySet

from inventory.queries.statements import kept

OPERATOR, LEAD, AUDITOR = "operator", "lead", "auditor"
ROLES = (LEAD, OPERATOR, AUDITOR)
BENCH = "bench"  # the group of logins that are a place, not a person: they may do nothing

FLOOR = frozenset({OPERATOR, LEAD})
DESK = frozenset({LEAD})
PROOF = frozenset({LEAD, AUDITOR})  # it makes papers and moves nothing

ACTS = {
    "address.move": DESK,
    "audit.make": PROOF,
    "blend.switch": DESK,
    "bin.count": FLOOR,
    "bin.create": DESK,
    "bin.edit": DESK,
    "bin.empty": FLOOR,
    "bin.retire": DESK,
    "checkpoint.make": FLOOR,
    "cut-plan.nest": FLOOR,
    "delivery.price": DESK,
    "delivery.receive": FLOOR,
    "delivery.refuse": FLOOR,
    "design.edit": DESK,
    "figure.own": DESK,
    "grid.edit": DESK,
    "hold.lift": DESK,
    "hold.place": FLOOR,
    "label.print": FLOOR,
    "label.void": FLOOR,
    "lineage.bring": DESK,
    "lot.dispose": FLOOR,
    "lot.identify": DESK,
    "lot.move": FLOOR,
    "machine.edit": DESK,
    "machine.purge": FLOOR,
    "part.divide": FLOOR,
    "part.hand-over": FLOOR,
    "part.put-in": FLOOR,
    "part.swap": FLOOR,
    "part.take-back": FLOOR,
    "part.take-out": FLOOR,
    "passport.issue": FLOOR,
    "pin.own": FLOOR,
    "pin.set": DESK,
    "posting.correct": DESK,
    "posting.reverse": DESK,
    "rate.set": DESK,
    "round.finish": FLOOR,
    "round.skip": FLOOR,
    "round.start": FLOOR,
    "recall.lift": DESK,
    "recall.start": DESK,
    "run.abandon": FLOOR,
    "run.close": FLOOR,
    "run.load": FLOOR,
    "run.make": FLOOR,
    "run.meter": FLOOR,
    "run.open": FLOOR,
    "run.reopen": DESK,
    "run.yield": FLOOR,
    "scale.edit": DESK,
    "setting.choose": DESK,
    "source.edit": FLOOR,
    "visit.abandon": FLOOR,
    "visit.make": FLOOR,
    "visit.settle": FLOOR,
    "visit.start": FLOOR,
}


PASSWORD_ONLY = frozenset({"audit.make", "pin.own"})  # whatever the role, a PIN does not open these


def role_of(user) -> str:
    """Return the role the user acts in, empty when there is none; by a PIN nobody is a lead.

    A superuser is a lead. A bench has no role, whatever else its login was given.
    """
    if not user.is_authenticated or not user.is_active:
        return ""
    role = own_role(user)
    return OPERATOR if role == LEAD and came_by_pin(user) else role


def own_role(user) -> str:
    """Return the role that the user has after logging in with the password."""
    names = groups_of(user)
    roles = [role for role in ROLES if role in names]
    if BENCH in names:
        return ""
    return LEAD if user.is_superuser else (roles[0] if roles else "")


def groups_of(user) -> set[str]:
    """Return the names of the user's groups, asked once for a request."""
    if not hasattr(user, "_workshop_groups"):
        remember_groups(user, names_of_groups(user))
    return user._workshop_groups  # noqa: SLF001


def remember_groups(user, names: Iterable[str]) -> None:
    """Let a user know the names of its groups, for whoever found them together with it."""
    user._workshop_groups = set(names)  # noqa: SLF001


def names_of_groups(user) -> Iterable[str]:
    """Return the names of a user's groups; those that came along with a list of users are not asked again."""
    if "groups" in getattr(user, "_prefetched_objects_cache", {}):
        return [group.name for group in user.groups.all()]
    return group_names(user.pk)


@kept
def group_names(user: int) -> QuerySet[Group]:
    """The names of the groups of a user."""
    return Group.objects.filter(user__pk=user).order_by().values_list("name", flat=True)


def is_bench(user) -> bool:
    """Return whether the login is a place where people work, and no person."""
    return user.is_authenticated and BENCH in groups_of(user)


def by_pin(user):
    """Return the user as somebody who only typed a PIN; every question about roles goes by it."""
    user._came_by_pin = True  # noqa: SLF001
    return user


def came_by_pin(user) -> bool:
    """Return whether the user only typed a PIN."""
    return getattr(user, "_came_by_pin", False)


def may(user, act: str) -> bool:
    """Return whether the user may do an act of the table; an act not in it is an error."""
    allowed = role_of(user) in ACTS[act]
    return allowed and not (act in PASSWORD_ONLY and came_by_pin(user))


def may_by_password(user, act: str) -> bool:
    """Return whether only the PIN stands in the way of an act."""
    return came_by_pin(user) and not may(user, act) and own_role(user) in ACTS[act]
