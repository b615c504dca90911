"""Parts that something is done to: locked, and refused where they are not here and loose."""

from collections.abc import Callable

from django.utils.translation import gettext_lazy as _

from inventory.actions.locks import lock_lots
from inventory.actions.refusals import CONFLICT, refusal
from inventory.calculations.codes import group_code
from inventory.models import Hold, Lot
from products.models import Part
from products.queries.fixings import fixing_of, is_handed_over
from products.queries.spoken_sheets import Claim, missing_note


def lock_parts(*parts: Part) -> list[Part]:
    """Return fresh rows of parts and their lots, locked; the lots first, as a loading does."""
    lots = lock_lots(*(Lot(pk=part.lot_id) for part in parts))
    rows = Part.objects.select_for_update(of=("self",)).select_related("design")
    found = {row.pk: row for row in rows.filter(pk__in=[each.pk for each in parts]).order_by("pk")}
    for part, lot in zip(parts, lots, strict=True):
        found[part.pk].lot = lot
    return [found[part.pk] for part in parts]


def lock_related(ask: Callable[[], list[Part]], *parts: Part) -> list[Part]:
    """Return fresh rows of parts and of those that `ask` names beside them, such as what holds them, locked.

    What is put together while the locks are waited for would be guarded by what was; so it is asked
    again, and refused as `conflict` when it has changed.
    """
    related = ask()
    rows = lock_parts(*parts, *related)
    if set(ask()) != set(related):
        raise refusal("conflict", CONFLICT)
    return rows


def ask_about_claims(found: list[Claim], sentence: str) -> None:
    """Ask back as `surprising` what open runs are to cut, with one of the sentences about them."""
    if note := missing_note(found, sentence):
        raise refusal("surprising", note)


def guard_not_out(parts: list[Part]) -> None:
    """Refuse what is in use, itself or with what it is in."""
    if is_handed_over(parts):
        raise refusal("in-use", _("The product is in use; take it back first."))


def guard_loose(part: Part) -> None:
    """Refuse a part that is used up, on hold, in use, or in another one; it must be locked."""
    if not part.lot.held_mg:
        raise refusal("used-up", _("This part has been used up; choose another one."))
    if Hold.objects.open().filter(lot=part.lot_id).exists():
        raise refusal("on-hold", _("This part is on hold; the lead must lift the hold first."))
    if is_handed_over([part]):
        raise refusal("in-use", _("This part is in use; take it back first."))
    guard_not_fixed(part)


def guard_not_fixed(part: Part) -> None:
    """Refuse a part that is in another one."""
    if fixing := fixing_of(part):
        raise refusal(
            "fixed",
            _("This part is in %(design)s %(code)s; take it out first."),
            design=fixing.holder.design.name,
            code=group_code(fixing.holder.code),
        )


def guard_apart(part: Part) -> None:
    """Refuse a part that is in another one, and one that holds others."""
    guard_not_fixed(part)
    if part.fixings.open().exists():
        raise refusal("holds-parts", _("This part holds other parts; take them out first."))
