"""Questions about people, their PINs, and who works at a bench."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth.models import User
from django.db.models import Max, Q, QuerySet
from django.utils import timezone

from inventory.queries.access import BENCH, ROLES, own_role
from workshop.models import Turn

MOST_RECENT = 6
GRACE = timedelta(seconds=45)  # the page locks first, so that nobody types into a locked one


@dataclass(frozen=True)
class Person:
    """A person as the lead's list shows them, or a bench, which has no role."""

    user: User
    name: str
    role: str
    has_pin: bool
    wrong: int
    locked_until: datetime | None

    @property
    def is_locked(self) -> bool:
        """Whether the wrong guesses stand in the way now."""
        return self.locked_until is not None and self.locked_until > timezone.now()


@dataclass(frozen=True)
class Bench:
    """The shared tablet that a request comes from, and the turn of who works there now."""

    login: User
    turn: Turn | None

    @property
    def person(self) -> User | None:
        """Who works here now."""
        return self.turn.person if self.turn else None

    @property
    def name(self) -> str:
        """What the person is called, empty while nobody works here."""
        return name_of(self.turn.person) if self.turn else ""

    @property
    def idle_seconds(self) -> int:
        """After how many seconds without a touch the page locks."""
        return int(idle_limit().total_seconds())


def name_of(user) -> str:
    """Return what a person is called at the bench."""
    return user.get_full_name() or user.get_username()


def people_with_role() -> QuerySet[User]:
    """Return the people who are here and have a role; a bench is no person."""
    has_role = Q(is_superuser=True) | Q(groups__name__in=ROLES)
    benches = User.objects.filter(groups__name=BENCH)
    people = User.objects.filter(has_role, is_active=True).exclude(pk__in=benches.values("pk"))
    return people.distinct().order_by("first_name", "username")


def people_for_bench() -> QuerySet[User]:
    """Return the people who can work at a bench: those with a PIN."""
    return people_with_role().filter(badge__isnull=False)


def lately_at(bench: User, people: list[User]) -> list[User]:
    """Return those of the people who worked at a bench last, the latest first."""
    turns = Turn.objects.filter(bench=bench, person__in=people).values("person")
    latest = turns.annotate(last=Max("pk")).order_by("-last")[:MOST_RECENT]
    by_key = {person.pk: person for person in people}
    return [by_key[row["person"]] for row in latest]


def turn_now(key, bench: User) -> Turn | None:
    """Return the turn of that key if it is one at the bench and still goes on."""
    if not isinstance(key, int):
        return None
    turns = Turn.objects.select_related("person").filter(bench=bench, ended_at__isnull=True)
    turn = turns.filter(pk=key, person__is_active=True).first()
    return None if turn is None or is_idle(turn) else turn


def is_idle(turn: Turn) -> bool:
    """Return whether nothing was heard of the person for longer than the workshop allows."""
    return timezone.now() - turn.last_seen_at > idle_limit() + GRACE


def idle_limit() -> timedelta:
    """Return after what time without a touch a bench locks."""
    return timedelta(minutes=settings.IDLE_LOCK_MINUTES)


def person_rows() -> list[Person]:
    """Return people and then benches, as the lead's list shows them."""
    benches = User.objects.filter(groups__name=BENCH, is_active=True).order_by("username")
    return [row for users in (people_with_role(), benches) for row in rows_of(users)]


def rows_of(users: QuerySet[User]) -> list[Person]:
    """Return the rows of some logins in a fixed number of questions."""
    users = users.select_related("badge", "guesses").prefetch_related("groups")
    return [row_of(user) for user in users]


def row_of(user: User) -> Person:
    """Return one row."""
    guesses = getattr(user, "guesses", None)
    return Person(
        user=user,
        name=name_of(user),
        role=own_role(user),
        has_pin=hasattr(user, "badge"),
        wrong=guesses.count if guesses else 0,
        locked_until=guesses.locked_until if guesses else None,
    )
