"""What a code as typed or scanned stands for: a thing's own code, or that of a later label on it.

Labels belong to an app above, which hands its look-up down when it starts, so that every place
that takes a code follows the newest label. Who only reads may follow a void label too; who moves
mass by it is told which one to scan.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Model, QuerySet
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from inventory.calculations.codes import group_code, normalise_code
from inventory.queries.postings import was_done


@dataclass(frozen=True)
class Sticker:
    """A label of a code: the own code of the thing it is on, since when it is void, what counts now."""

    thing_code: str
    voided_at: datetime | None = None
    newest_code: str = ""


_sticker_look_ups: list[Callable[[str], Sticker | None]] = []


def follow_stickers_by(look_up: Callable[[str], Sticker | None]) -> None:
    """Take the function that knows the label of a code; the app that has labels calls this once."""
    _sticker_look_ups.append(look_up)


def sticker_of(code: str) -> Sticker | None:
    """Return the label of a code, or None when none was made."""
    found = (look_up(code) for look_up in _sticker_look_ups)
    return next(filter(None, found), None)


def own_code(text: str) -> str | None:
    """Return the own code of the thing that a typed or scanned text is the code of, or None.

    It need not exist. Void labels are followed too; see `void_note`.
    """
    code = normalise_code(text)
    sticker = sticker_of(code) if code else None
    return sticker.thing_code if sticker else code


def row_coded(rows: QuerySet, text: str) -> Model | None:
    """Return the row that a typed or scanned text is the code of: its own, or that of a later label."""
    return row_found(lambda code: rows.filter(code=code), text)


def row_found(rows_of: Callable[[str], Iterable[Model]], text: str) -> Model | None:
    """Return the same as `row_coded`, by a function that returns the rows of a code, one or none."""
    code = normalise_code(text)
    found = next(iter(rows_of(code)), None) if code else None
    if code is None or found:
        return found
    sticker = sticker_of(code)
    return next(iter(rows_of(sticker.thing_code)), None) if sticker else None


def void_note(text: str, key: UUID | str | None = None) -> str:
    """Return the sentence that refuses a text as the code of a void label, else an empty one.

    The act of a UUID that is in the book already passes, for it is only asked about again.
    """
    code = normalise_code(text)
    sticker = sticker_of(code) if code else None
    if sticker is None or sticker.voided_at is None or was_done(key):
        return ""
    facts = {
        "code": group_code(code),
        "day": date_format(localtime(sticker.voided_at), "SHORT_DATE_FORMAT"),
        "newer": group_code(sticker.newest_code),
    }
    if sticker.newest_code:
        sentence = _("The label %(code)s is void since %(day)s; scan the new one, %(newer)s.")
    else:
        sentence = _("The label %(code)s is void since %(day)s; print a new one and scan that.")
    return sentence % facts
