"""Putting material into a bin: which lot takes it, and what that lot is called afterwards.

A lot fills, then gives. A bin whose fill has not given yet takes more of the same material
into the same lot; once the fill has given, or when the mixture is another material, what is
left and what comes in make a new lot together. So a fill never changes what it is called.
"""

from dataclasses import replace
from datetime import datetime

from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act
from inventory.actions.postings import Line, post, spoken_for
from inventory.actions.refusals import refusal
from inventory.models import Bin, Blend, Hold, Lot, Mass, Material, OriginClass, Posting, Transfer
from inventory.queries.blends import (
    CannotMix,
    combined_colour,
    combined_form,
    combined_polymer,
)
from inventory.queries.lots import book_mass, lot_label
from inventory.queries.masses import bulk_said
from inventory.queries.statements import Keys, kept
from inventory.queries.traces import polymer_shares

ROUNDING_MG = 0.5  # shares are floats, masses whole


def fill_bin(
    *, bin: Bin, fill: Lot | None, giver: Lot, incoming: Material, mass_mg: int, at: datetime
) -> tuple[Lot, list[Line]]:
    """Return the lot that takes mg from the giver, and the lines that bring over what was left.

    The bin, its `fill` (None when it is empty) and the giver must be locked, see
    `lock_with_fill`; `incoming` is what the giver's material is when it arrives. Refuses `retired`, `overfull`,
    `on-hold`, `spoken-for`, `unknown-material`, `polymer-mismatch` and `colour-mismatch`.
    """
    if fill is not None:
        guard_held_apart(giver, fill)
    return led_into(bin=bin, fill=fill, giver=giver, incoming=incoming, mass_mg=mass_mg, at=at)


def led_into(
    *, bin: Bin, fill: Lot | None, giver: Lot, incoming: Material, mass_mg: int, at: datetime
) -> tuple[Lot, list[Line]]:
    """Return the same as `fill_bin`, for whoever has asked about holds already."""
    guard_room(bin, fill, mass_mg)
    guard_bin_material(bin, incoming)
    if fill is None:
        return new_fill(bin, incoming, at), []
    guard_spoken_for(fill)
    material = mixed_into(bin, {fill: fill.held_mg, giver: mass_mg}, incoming)
    if fill.kind == Lot.Kind.FILL and fill.out_mg == 0 and fill.material == material:
        return fill, []
    lot = new_fill(bin, material, at)
    return lot, [Line(fill, lot, book_mass(fill), Transfer.Role.REMAINDER)]


def pour(
    *, source: Lot, bin: Bin, fill: Lot | None, mass: Mass, act: Act, request: dict
) -> Posting:
    """Post some of a lot into a bin, all locked; refuses what either of them refuses."""
    guard_holds(source, *([fill] if fill else []))
    target, lines = led_into(
        bin=bin, fill=fill, giver=source, incoming=source.material, mass_mg=mass.mg, at=act.at
    )
    move = Line(source, target, mass, Transfer.Role.MOVED)
    reference = f"{source.bin or source} > {bin}"[:60]
    lines = [*lines, move]
    return post(act=act, kind=Posting.Kind.MOVE, lines=lines, request=request, reference=reference)


def guard_held_apart(giver: Lot, fill: Lot) -> None:
    """Refuse to mix what is on hold with what is not; both must be locked."""
    held = held_among(giver, fill)
    if fill.pk in held and giver.pk not in held:
        raise on_hold(fill)
    if giver.pk in held and fill.pk not in held:
        sentence = _(
            "%(lot)s is on hold; choose an empty bin, or one whose contents are on hold too."
        )
        raise refusal("on-hold", sentence, lot=lot_label(giver))


def guard_spoken_for(fill: Lot) -> None:
    """Refuse to mix or weigh a fill while nobody knows how much of it pieces of an open visit took."""
    if fill.spoken_for_mg:
        raise spoken_for(fill)


def new_fill(bin: Bin, material: Material, at: datetime) -> Lot:
    """Return an unsaved lot that stands in the bin."""
    return Lot(
        kind=Lot.Kind.FILL,
        polymer=material.polymer,
        colour=material.colour,
        form=material.form,
        bin=bin,
        opened_at=at,
    )


def new_gain(material: Material, at: datetime) -> Lot:
    """Return the unsaved lot that stands for mass which only the scale found."""
    return Lot(
        kind=Lot.Kind.GAIN,
        polymer=material.polymer,
        colour=material.colour,
        form=material.form,
        origin_class=OriginClass.UNKNOWN,
        opened_at=at,
    )


def guard_room(bin: Bin, fill: Lot | None, mass_mg: int) -> None:
    """Refuse a retired bin, and one that would hold more than it has room for."""
    if bin.retired_at:
        raise refusal("retired", _("Bin %(bin)s is retired; choose another bin."), bin=bin.name)
    held_mg = fill.held_mg if fill else 0
    if held_mg + mass_mg > bin.capacity_mg:
        raise refusal(
            "overfull",
            _("Bin %(bin)s has room for %(mass)s more; put the rest into another bin."),
            bin=bin.name,
            mass=bulk_said(bin.capacity_mg - held_mg),
        )


def guard_holds(*lots: Lot) -> None:
    """Refuse lots of which one is on hold; asked once they are locked, or a hold could slip in."""
    held = held_among(*lots)
    for lot in lots:
        if lot.pk in held:
            raise on_hold(lot)


def held_among(*lots: Lot) -> set[int]:
    """Return the primary keys of those lots that are on hold."""
    return set(lots_on_hold({lot.pk for lot in lots}))


@kept
def lots_on_hold(keys: Keys) -> QuerySet[Hold]:
    """The primary keys of those lots that are on hold, once for each hold."""
    return Hold.objects.open().filter(lot__pk__in=keys).order_by().values_list("lot_id", flat=True)


def on_hold(lot: Lot):
    """Return the refusal of a lot that is on hold."""
    sentence = _("%(lot)s is on hold; the lead must lift the hold first.")
    return refusal("on-hold", sentence, lot=lot_label(lot))


def guard_bin_material(bin: Bin, incoming: Material) -> None:
    """Refuse what the bin is not meant for."""
    if incoming.polymer is None and bin.polymer_id:
        raise refusal(
            "unknown-material",
            _("Bin %(bin)s is kept for %(polymer)s; put unknown material into a bin of its own."),
            bin=bin.name,
            polymer=bin.polymer.symbol,
        )
    if bin.polymer_id and incoming.polymer != bin.polymer:
        raise wrong_polymer(bin, bin.polymer.symbol, incoming.polymer)
    takes_any = bin.colour is None or bin.colour.is_mixed
    if not takes_any and incoming.colour != bin.colour:
        raise wrong_colour(bin, bin.colour, incoming.colour)


def mixed_into(bin: Bin, parts: dict[Lot, int], incoming: Material) -> Material:
    """Return the material of a fill and what comes in (mg of each), or refuse what does not go together."""
    fill = next(iter(parts))
    if incoming.polymer is None or fill.polymer is None:
        raise refusal(
            "unknown-material",
            _("Unknown material is never mixed; choose an empty bin or identify it first."),
        )
    polymer = mixed_polymer(parts, bin)
    if bin.polymer_id and polymer != bin.polymer:
        raise wrong_polymer(bin, bin.polymer.symbol, incoming.polymer)
    takes_mixture = bin.colour is not None and bin.colour.is_mixed
    if incoming.colour != fill.colour and not takes_mixture:
        raise wrong_colour(bin, fill.colour, incoming.colour)
    both = [fill.material, incoming]
    return replace(
        incoming, polymer=polymer, colour=combined_colour(both), form=combined_form(both)
    )


def mixed_polymer(parts: dict[Lot, int], place):
    """Return the polymer that lots, with the mg of each, make together.

    Refuses `polymer-mismatch` where no blend is switched on, or where the share of the
    added polymer would pass the blend's limit.
    """
    polymers = {lot.polymer for lot in parts}
    try:
        result = combined_polymer(polymers)
    except CannotMix:
        first, *_others, last = parts
        raise wrong_polymer(place, first.polymer.symbol, last.polymer) from None
    if len(polymers) > 1:
        guard_blend_share(result, parts)
    return result


def guard_blend_share(result, parts: dict[Lot, int]) -> None:
    """Refuse a blend in which the added polymer passes its limit."""
    blend = Blend.objects.select_related("main", "added", "result").get(result=result)
    if blend.most_added_permille is None:
        return
    limit = blend.most_added_permille / 1000
    added_mg = sum(added_share(lot, blend) * mass_mg for lot, mass_mg in parts.items())
    if added_mg > limit * sum(parts.values()) + ROUNDING_MG:
        raise refusal(
            "polymer-mismatch",
            _("At most %(percent)s\u00a0%% %(added)s may go into this blend; take less of it."),
            percent=f"{blend.most_added_permille / 10:g}",
            added=blend.added.symbol,
        )


def added_share(lot: Lot, blend: Blend) -> float:
    """Return how much of a lot is the added polymer of a blend.

    A blend that was delivered as such counts as full to the limit, what nobody
    identified when it came counts as added.
    """
    if lot.polymer != blend.result:
        return float(lot.polymer == blend.added)
    shares = polymer_shares(lot)
    bought = shares.get(blend.result.symbol, 0.0)
    main = shares.get(blend.main.symbol, 0.0)
    return max(0.0, 1 - main - bought) + bought * blend.most_added_permille / 1000


def wrong_polymer(place, wanted: str, got):
    """Return the refusal of a polymer that does not belong there."""
    return refusal(
        "polymer-mismatch",
        _("%(place)s takes %(wanted)s, this is %(got)s; choose a place for %(got)s."),
        place=str(place),
        wanted=wanted,
        got=got.symbol if got else _("unknown"),
    )


def wrong_colour(bin: Bin, wanted, got):
    """Return the refusal of a colour that does not belong there."""
    return refusal(
        "colour-mismatch",
        _(
            "%(bin)s holds %(wanted)s, this is %(got)s; choose another bin or one for mixed colours."
        ),
        bin=bin.name,
        wanted=str(wanted),
        got=str(got),
    )
