"""The envelope of every act: who, when, why, and the client's own id that makes repeats harmless.

The client makes the UUID before it sends. An act that comes twice with the same
content is answered as the first time; with other content it is refused.
"""

import hashlib
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from uuid import UUID, uuid5

from django.contrib.auth.models import User
from django.db import connection
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.refusals import refusal
from inventory.calculations.fingerprints import fingerprint, plain
from inventory.models import Change, Posting
from inventory.queries.access import role_of

CLOCK_SLACK = timedelta(minutes=5)
LONGEST_REASON = 300
USED = """
SELECT EXISTS (SELECT 1 FROM inventory_posting WHERE uuid = %s)
    OR EXISTS (SELECT 1 FROM inventory_change WHERE uuid = %s)
"""


@dataclass(frozen=True)
class Act:
    """Who did it, under which client id, when in the workshop (None: just now), and why."""

    key: UUID
    by: User
    happened_at: datetime | None = None
    reason: str = ""
    noted_at: datetime = field(default_factory=timezone.now, compare=False)

    @property
    def at(self) -> datetime:
        """When it happened in the workshop."""
        return self.happened_at or self.noted_at

    @property
    def role(self) -> str:
        """The role the person acted in."""
        return role_of(self.by)

    def followed_by(self, step: str) -> "Act":
        """Return the act of a second posting that the same act causes, with an id of its own."""
        return replace(self, key=uuid5(self.key, step))

    def request(self, verb: str, **content) -> dict:
        """Return the whole request in plain values, the thing that is fingerprinted."""
        return plain(
            {
                "verb": verb,
                "by": self.by.get_username(),
                "happened_at": self.happened_at,
                "reason": self.reason,
                **{name: readable(value) for name, value in content.items()},
            }
        )


def readable(value):
    """Return a model as its code or name, a mass as its parts, anything else as it is."""
    if hasattr(value, "plain"):
        return value.plain()
    if hasattr(value, "_meta"):
        return str(getattr(value, "code", value))
    return value


def earlier(act: Act, request: dict) -> Posting | Change | None:
    """Return what the same UUID did before, or None; the caller must be in a transaction.

    Refuses `key-reused` when the UUID came with other content, `future` when
    the act says it happened later than the clock allows, `reason` when it is too long.
    """
    if len(act.reason) > LONGEST_REASON:
        raise refusal("reason", _("Say why in at most %(most)s letters."), most=LONGEST_REASON)
    if act.happened_at and act.happened_at > timezone.now() + CLOCK_SLACK:
        raise refusal(
            "future", _("The time lies in the future; set the tablet's clock or the time.")
        )
    wait_for_turn(act.key)
    if not is_used(act.key):
        return None
    found = (
        Posting.objects.filter(uuid=act.key).first() or Change.objects.filter(uuid=act.key).first()
    )
    if found.fingerprint != fingerprint(request):
        raise refusal(
            "key-reused",
            _("This id was used for another entry; open the page anew and enter it again."),
        )
    return found


def is_used(key: UUID) -> bool:
    """Return whether a posting or a change has this id; one statement, since every act asks it."""
    value = Posting._meta.get_field("uuid").get_db_prep_value(key, connection)  # noqa: SLF001
    with connection.cursor() as cursor:
        cursor.execute(USED, [value, value])
        return bool(cursor.fetchone()[0])


def wait_for_turn(key: UUID) -> None:
    """Let two requests with one UUID follow each other; SQLite has one writer anyway."""
    if connection.vendor == "postgresql":
        number = int.from_bytes(hashlib.sha256(key.bytes).digest()[:8], "big", signed=True)
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [number])


def need_reason(act: Act) -> None:
    """Refuse `reason` when the act gives none."""
    if not act.reason.strip():
        raise refusal("reason", _("Say why in a few words; the reason stays in the book."))
