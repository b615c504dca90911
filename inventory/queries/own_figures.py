"""Questions about the workshop's own figures: which hold now, since when, and what held before."""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from django.db.models import Max, QuerySet
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from inventory.calculations.own_figures import lower_ceiling_c
from inventory.models import OwnFigure, Polymer

Own = Mapping[str, OwnFigure]


def own_by_polymer(polymers: Iterable[Polymer] | None = None) -> dict[int, dict[str, OwnFigure]]:
    """Return the figures that are the workshop's own now, by polymer and name; one query."""
    rows = OwnFigure.objects.all()
    if polymers is not None:
        rows = rows.filter(polymer__in=[polymer.pk for polymer in polymers])
    newest = rows.order_by().values("polymer_id", "name").annotate(newest=Max("pk"))
    found = {}
    for row in OwnFigure.objects.filter(pk__in=newest.values("newest")).select_related("by"):
        if not row.is_back:
            found.setdefault(row.polymer_id, {})[row.name] = row
    return found


def own_of(polymer: Polymer) -> dict[str, OwnFigure]:
    """Return the figures of a polymer that are the workshop's own now, by name; one query."""
    return own_by_polymer([polymer]).get(polymer.pk, {})


def own_history(polymer: Polymer) -> QuerySet[OwnFigure]:
    """Return all that was ever set of a polymer, newest first."""
    return OwnFigure.objects.filter(polymer=polymer).select_related("by")


def since_said(row: OwnFigure) -> str:
    """Return that a figure is the workshop's own and since when, in the reader's language."""
    day = date_format(localtime(row.happened_at), "SHORT_DATE_FORMAT")
    return _("own value since %(day)s") % {"day": day}


def ceiling_of(polymer: Polymer, own: Own) -> int | None:
    """Return above how many °C a polymer fumes: the lower of the workshop's own ceiling and the reference's."""
    row = own.get("fume-above")
    return lower_ceiling_c(row.typical if row else None, polymer.fume_above_c)


def own_ceiling(polymer: Polymer, own: Own) -> OwnFigure | None:
    """Return the workshop's own fume ceiling where it is what holds, or None."""
    row = own.get("fume-above")
    return row if row and int(row.typical) == ceiling_of(polymer, own) else None


def window_of(polymer: Polymer, own: Own, name: str) -> tuple[Decimal, Decimal, str] | None:
    """Return a window of a polymer and what it rests on: the workshop's own value, or the source's key."""
    if row := own.get(name):
        return row.low, row.high, since_said(row)
    if name not in polymer.windows:
        return None
    low, high, key = polymer.windows[name]
    return Decimal(low), Decimal(high), key
