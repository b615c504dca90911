"""What stands on the labels of many things, in a fixed number of queries.

The mark comes from the make-up of what is inside, never from what somebody typed. A bin's
label tells what it held on the day of the print.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property

from django.conf import settings
from django.db.models import Model
from django.utils.translation import gettext as _

from inventory.calculations.codes import grouped_codes
from inventory.models import Bin, Delivery, Form, Lot
from inventory.queries.bins import fills_of
from inventory.queries.foreign_origins import class_words
from inventory.queries.lots import lot_label
from inventory.queries.make_ups import Shares, shares_of_lots
from inventory.templatetags.quantities import bulk, day, mass
from products.calculations.claims import POST_CONSUMER, PRE_CONSUMER
from products.calculations.label_texts import LabelText, Share
from products.calculations.qr_codes import label_address
from products.calculations.resin_codes import label_warnings, packaging_code, resin_code
from products.models import Design, Part
from products.queries.addresses import printed_address
from products.queries.labels import labels_of, live_labels
from products.queries.marks import mark_of_shares, symbol_of
from products.queries.things import BIN, DELIVERY, LOT, PART, Thing

UNMADE = "0" * 12  # stands for the code that a new label will get


@dataclass(frozen=True)
class Inside:
    """What a thing holds: its lot, and the make-up of that."""

    lot: Lot | None
    shares: Shares | None

    @cached_property
    def mark(self) -> str:
        """The mark of its make-up, empty when there is none."""
        return mark_of_shares(self.shares.by_polymer) if self.shares else ""

    @property
    def is_unknown(self) -> bool:
        """Whether it holds plastic that nobody has named."""
        return bool(self.shares) and not self.mark and "" in self.shares.by_polymer

    @property
    def strip(self) -> tuple[Share, ...]:
        """The make-up by colour, or of one colour by origin class."""
        if not self.shares:
            return ()
        if len(self.shares.by_colour) == 1:
            words = class_words()
            recycled = {words[each] for each in (POST_CONSUMER, PRE_CONSUMER)}
            origins = self.shares.by_origin.items()
            return tuple(Share(name, share, is_claim=name in recycled) for name, share in origins)
        named = self.shares.by_colour.items()
        return tuple(Share(name, share, self.shares.srgb[name]) for name, share in named)


def label_texts(
    rows: Mapping[Thing, Model], codes: Mapping[Thing, str], *, on: datetime
) -> list[LabelText]:
    """Return the labels of things found before, with these codes, as of a moment.

    Raises AddressError when the printed address is none.
    """
    site_url = printed_address()
    holds = contents(rows)
    shares = shares_of_lots(lot for lot in holds.values() if lot)
    return [
        replace(
            TEXTS[thing.kind](row, inside(holds[thing], shares), on),
            code=codes[thing],
            address=label_address(site_url, codes[thing]),
        )
        for thing, row in rows.items()
    ]


def codes_to_print(things) -> dict[Thing, str]:
    """Return the code that a print now would give each thing; one yet to be made is all zeros."""
    known = labels_of(things)
    live = live_labels(known)
    return {
        thing: live[thing].code if thing in live else UNMADE if known[thing] else thing.code
        for thing in things
    }


def contents(rows: Mapping[Thing, Model]) -> dict[Thing, Lot | None]:
    """Return the lot whose make-up a label tells, of each thing."""
    fills = fills_of([row for thing, row in rows.items() if thing.kind == BIN])
    lot_in = {
        BIN: lambda row: fills.get(row.pk),
        LOT: lambda row: row,
        DELIVERY: lambda row: row.lot,
        PART: lambda row: row.lot,
    }
    return {thing: lot_in[thing.kind](row) for thing, row in rows.items()}


def inside(lot: Lot | None, shares: Mapping[int, Shares]) -> Inside:
    """Return a lot with its make-up; one that was emptied by a reversal has none."""
    return Inside(lot, shares[lot.pk]) if lot and lot.in_mg else Inside(lot, None)


def blank(**fields) -> LabelText:
    """Return a label whose code and address are still to be filled in."""
    return LabelText(code=UNMADE, address=f"http://localhost/q/{UNMADE}", **fields)


def resin_line(mark: str) -> str:
    """Return the resin code as a small line, for things that stay in the workshop."""
    if not mark:
        return ""
    code = resin_code(symbol_of(mark))
    return _("Resin code %(number)s %(text)s") % {"number": code.number, "text": code.text}


def notes(held: Inside, *more: str) -> tuple[str, ...]:
    """Return the small lines of a label; unknown plastic is said first."""
    unknown = _("Unknown plastic: never heat it") if held.is_unknown else ""
    small = " · ".join(line for line in (resin_line(held.mark), *more) if line)
    return tuple(line for line in (unknown, small) if line)


def bin_text(bin: Bin, held: Inside, on: datetime) -> LabelText:
    """Return the label of a bin: its name, what it holds on the day of the print, its tare."""
    material = held.lot or bin
    empty_mark = bin.polymer.mark if bin.polymer else ""
    tare = _("Tare %(mass)s") % {"mass": bulk(bin.tare_mg)} if bin.tare_mg else ""
    return blank(
        kind=_("Bin"),
        title=bin.name,
        mark=held.mark or ("" if held.lot else empty_mark),
        colour_name=material.colour.name if material.colour else "",
        srgb=material.colour.srgb if material.colour else "",
        strip=held.strip,
        mass_text=mass(held.lot.held_mg) if held.lot else "",
        date_text=_("as of %(day)s") % {"day": day(on)} if held.lot else "",
        place_text=bin.place,
        lines=notes(held, tare),
    )


def lot_text(lot: Lot, held: Inside, on: datetime) -> LabelText:
    """Return the label of a lot that is neither a delivery nor a part."""
    reference = grouped_codes(lot.filled_by.reference) if lot.filled_by else ""
    return blank(
        kind=_("Lot"),
        title=lot_label(lot),
        mark=held.mark,
        colour_name=lot.colour.name,
        srgb=lot.colour.srgb,
        strip=held.strip,
        mass_text=mass(lot.held_mg),
        date_text=_("as of %(day)s") % {"day": day(on)},
        run_text=reference[:1].upper() + reference[1:],
        place_text=lot.bin.place if lot.bin else "",
        lines=notes(held, lot.get_form_display()),
    )


def delivery_text(delivery: Delivery, held: Inside, on: datetime) -> LabelText:
    """Return the label of a delivery; who brought it is not told."""
    refused = _("Refused") if delivery.refusal else ""
    bin = delivery.lot.bin if delivery.lot else None
    return blank(
        kind=_("Delivery"),
        title=delivery.number,
        mark=held.mark,
        colour_name=delivery.colour.name,
        srgb=delivery.colour.srgb,
        strip=held.strip,
        mass_text=mass(delivery.net_mg),
        date_text=day(delivery.delivered_on),
        place_text=bin.name if bin else "",
        lines=notes(held, refused, delivery.get_form_display()),
    )


def part_text(part: Part, held: Inside, on: datetime) -> LabelText:
    """Return the label of a part or a bag; packaging gets its numbered triangle beside the mark."""
    several = f" × {part.pieces}" if part.pieces > 1 else ""
    words = (part.design.name, settings.WORKSHOP_NAME)
    numbered = part.design.is_packaging and held.mark and not label_warnings(words)
    code = packaging_code(symbol_of(held.mark)) if numbered else None
    return blank(
        kind=part_kind(part),
        title=part.design.name + several,
        mark=held.mark,
        resin_number=str(code.number) if code else "",
        resin_text=code.text if code else "",
        colour_name=part.lot.colour.name,
        srgb=part.lot.colour.srgb,
        strip=held.strip,
        mass_text=mass(part.lot.in_mg),
        date_text=day(part.made_at),
        run_text=_("Run %(number)s") % {"number": part.run_number},
        lines=tuple(filter(None, (piece_line(part), settings.WORKSHOP_NAME))),
    )


def piece_line(part: Part) -> str:
    """Return the size of a kept piece, which its design's name does not tell; empty for any other part."""
    return _("Piece %(size)s") % {"size": part.own_size} if part.own_size else ""


def part_kind(part: Part) -> str:
    """Return the word for a part: bag, sheet, profile or part."""
    if part.pieces > 1 or part.design.tracked == Design.Tracking.BAG:
        return _("Bag")
    return {Form.SHEET: _("Sheet"), Form.PROFILE: _("Profile")}.get(part.design.form, _("Part"))


TEXTS = {BIN: bin_text, LOT: lot_text, DELIVERY: delivery_text, PART: part_text}
