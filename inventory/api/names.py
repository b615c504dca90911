"""Things by the code or name that a client wrote: look-alikes, grouping and case do not matter."""

from django.http import Http404
from django.utils.translation import gettext as _

from inventory.queries.codes import row_coded

LONGEST_NAME = 120


def by_code(rows, text: str):
    """Return the row of a code, or None."""
    return row_coded(rows, text)


def by_name(rows, text: str):
    """Return the row of a name, spelt the same or but for capitals, or None."""
    if "\x00" in text or len(text) > LONGEST_NAME:
        return None
    return rows.filter(name=text).first() or rows.filter(name__iexact=text).first()


def by_code_or_name(rows, text: str):
    """Return the row of a code or shop name, or None."""
    return by_code(rows, text) or by_name(rows, text)


def found(row):
    """Return the row, or answer 404 when there is none."""
    if row is None:
        raise Http404(_("Nothing here has this code or name."))
    return row
