"""Designs are added, changed and withdrawn."""

from django.core.files import File
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from inventory.models import Form, Polymer
from products.models import Design


@transaction.atomic
def save_design(*, fields: dict, polymers, act: Act, design: Design | None = None) -> Design:
    """Add a design, or change one; parts made before keep what the ledger says of them.

    Refuses `name-taken`, `nominal-mass` unless the mass is above zero, and `no-sheet` for a
    length and width of what is no sheet.
    A repeated UUID changes nothing.
    """
    symbols = sorted(polymer.symbol for polymer in polymers)
    key = design.pk if design else None
    said = {name: bytes_of(value) for name, value in fields.items()}
    request = act.request("design", fields=said, polymers=symbols, design=key)
    if done := earlier(act, request):
        return outcome_of(done, Design)
    others = Design.objects.exclude(pk=key) if design else Design.objects.all()
    if others.filter(name__iexact=fields["name"]).exists():
        raise refusal("name-taken", _("A design of this name exists; choose another name."))
    if fields["nominal_mass_mg"] <= 0:
        raise refusal("nominal-mass", _("Give the mass of one piece."))
    if fields.get("length_um") and fields.get("form") != Form.SHEET:
        raise refusal("no-sheet", _("Only a sheet has a usual length and width; empty both boxes."))
    design = fresh(design) if design else Design()
    for name, value in fields.items():
        setattr(design, name, value)
    design.save()
    design.polymers.set(polymers)
    record_change(act=act, subject=str(design), request=request, row=design)
    return design


def bytes_of(value):
    """Return a photo as its bytes, of which the book keeps the fingerprint; anything else as it is."""
    if not isinstance(value, File):
        return value
    value.seek(0)
    octets = value.read()
    value.seek(0)
    return octets


@transaction.atomic
def withdraw_design(*, design: Design, act: Act) -> Design:
    """Stop offering a design for new runs; its parts and history stay.

    Refuses `withdrawn`. A repeated UUID changes nothing.
    """
    request = act.request("withdraw design", design=design.pk)
    if earlier(act, request):
        return Design.objects.get(pk=design.pk)
    design = fresh(design)
    if design.withdrawn_at:
        raise refusal("withdrawn", _("This design was withdrawn before."))
    design.withdrawn_at = timezone.now()
    design.save()
    record_change(act=act, subject=str(design), request=request, row=design)
    return design


def guard_polymer(design: Design, polymer: Polymer) -> None:
    """Refuse `wrong-polymer` when the design is not made of this one, or nothing is."""
    allowed = list(design.polymers.all())
    if polymer.is_rejected or (allowed and polymer not in allowed):
        raise refusal(
            "wrong-polymer",
            _("%(design)s is not made of %(symbol)s; choose a polymer that it allows."),
            design=design.name,
            symbol=polymer.symbol,
        )
