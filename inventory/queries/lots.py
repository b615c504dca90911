"""Questions about lots: what is open, held, and how sure its mass is."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from math import ceil
from time import monotonic

from django.core.cache import cache
from django.db import connection
from django.db.models import F, Q, QuerySet, Sum
from django.utils.translation import gettext as _

from inventory.calculations.codes import group_code, grouped_codes
from inventory.models import Basis, Hold, Lot, Mass, Posting, Transfer
from inventory.queries.bins import bin_named
from inventory.queries.codes import row_found
from inventory.queries.deliveries import delivery_numbered
from inventory.queries.postings import PLACE, posting_rows, standing_transfers
from inventory.queries.statements import kept

STOCK, REST, LONGEST_S = "mass-by-polymer", 20, 60
RUN_NUMBER = re.compile(r"R-\d{4,12}")
MENDING = {Posting.Kind.CORRECT, Posting.Kind.REVERSE}
LOT_RELATED = ("polymer", "colour", "bin", "delivery__source")


def open_lot_in(bin) -> Lot | None:
    """Return the lot that a bin holds now, with its material."""
    return bin.lots.open().select_related("polymer", "colour", "bin").first()


def is_on_hold(lot: Lot) -> bool:
    """Return whether a hold on the lot is not lifted yet."""
    return Hold.objects.open().filter(lot=lot).exists()


def book_mass(lot: Lot) -> Mass:
    """Return all that the book says a lot holds, with the uncertainty of what made that figure.

    Each weighing that filled or drew from the lot adds its variance (GUM, sum in quadrature).
    A count that corrected the book to a scale starts anew: what came before no longer matters.
    """
    rows = standing_transfers().filter(Q(source=lot) | Q(target=lot))
    known = list(rows.annotate(place=PLACE).values_list("place", "role", "basis", "uncertainty_ug"))
    is_count = (Transfer.Role.COUNT, Basis.WEIGHED)
    counted = max((row[0] for row in known if row[1:3] == is_count), default=0)
    variance = sum(
        row[3] ** 2
        for row in known
        if row[0] > counted or (row[0] == counted and row[1:3] == is_count)
    )
    return Mass(lot.held_mg, Basis.BOOK, None, ceil(variance**0.5))


def lot_list() -> QuerySet[Lot]:
    """Return every lot that ever took something, with all that a list row prints."""
    held = F("in_mg") - F("out_mg")
    return Lot.objects.taken().with_hold().select_related(*LOT_RELATED).annotate(left_mg=held)


def held_lots() -> QuerySet[Hold]:
    """Return the holds not lifted, on lots that still hold something, newest first."""
    holds = Hold.objects.open().filter(lot__out_mg__lt=F("lot__in_mg"))
    return holds.select_related("lot__polymer", "lot__colour", "lot__bin", "placed_by")


def mass_by_polymer() -> list[tuple[str, int]]:
    """Return (symbol, mg now in stock) for each polymer, largest first.

    The sum goes over every lot in stock, so one that took long is remembered for twenty
    times as long, at most for a minute; inside a transaction nothing is remembered.
    """
    if connection.in_atomic_block:
        return stock_sums()
    if (known := cache.get(STOCK)) is None:
        began = monotonic()
        known = stock_sums()
        cache.set(STOCK, known, min(LONGEST_S, REST * (monotonic() - began)))
    return known


def stock_sums() -> list[tuple[str, int]]:
    """Return (symbol, mg now in stock) for each polymer, largest first, summed now."""
    stock = Lot.objects.open().exclude(kind=Lot.Kind.CHARGE)
    rows = stock.values("polymer__symbol").annotate(mg=Sum("in_mg") - Sum("out_mg"))
    return sorted(((row["polymer__symbol"] or "", row["mg"]) for row in rows), key=lambda r: -r[1])


def hold_list() -> QuerySet[Hold]:
    """Return every hold, lifted ones included, with all that a list row prints, its recalls too."""
    related = ("lot__polymer", "lot__colour", "lot__bin", "lot__delivery", "placed_by", "lifted_by")
    return Hold.objects.select_related(*related).prefetch_related("recalls")


def lot_with_code(code: str) -> Lot | None:
    """Return a lot, with all that its page prints, by its code as typed or scanned."""
    return row_found(lots_told, code)


@kept
def lots_told(code: str) -> QuerySet[Lot]:
    """The lot of a code with all that its page prints."""
    return Lot.objects.with_hold().select_related(*LOT_RELATED, "filled_by").filter(code=code)


def lot_named(text: str) -> Lot | None:
    """Return the lot of a code, of a delivery's number or of what a bin holds now."""
    if lot := lot_with_code(text):
        return lot
    delivery = delivery_numbered(text)
    if delivery and delivery.lot_id:
        return lot_with_code(delivery.code)
    bin = bin_named(text)
    fill = open_lot_in(bin) if bin else None
    return lot_with_code(fill.code) if fill else None


def lot_label(lot: Lot) -> str:
    """Return what people call a lot; it must have come with its bin and delivery."""
    if lot.kind == Lot.Kind.DELIVERY and getattr(lot, "delivery", None):
        return lot.delivery.number
    if lot.bin:
        return lot.bin.name
    return f"{Lot.Kind(lot.kind).label} {group_code(lot.code)}"


def charges_of_run(text: str) -> list[Lot]:
    """Return the lots of the charges of a run named as people do, R-0042, the first first.

    They are found by what their postings refer to, since the ledger knows no runs.
    """
    return list(of_run(lot_list().filter(kind=Lot.Kind.CHARGE), text).order_by("pk"))


def run_reference(text: str) -> str:
    """Return what the postings of a run refer to, by its number as somebody typed it: R-0042."""
    return f"run {text.strip().upper()}"


def of_run(lots: QuerySet[Lot], text: str) -> QuerySet[Lot]:
    """Narrow lots to those that a run of a number such as R-0042 filled: charges, parts, what it gave back."""
    if not RUN_NUMBER.fullmatch(text.strip().upper()):
        return lots.none()
    wanted = {"posting__reference": run_reference(text), "target__isnull": False}
    filled = standing_transfers().filter(**wanted)
    return lots.filter(pk__in=filled.order_by().values("target"))


def with_fillers(lots: Iterable[Lot]) -> list[Lot]:
    """Return lots, none to be saved, whose `filled_by` is the standing posting that filled them last.

    It is so already, unless a correction or a reversal changed what is behind them; only of those the
    book is asked, in one query.
    """
    lots = list(lots)
    mended = {lot.pk: lot for lot in lots if lot.filled_by and lot.filled_by.kind in MENDING}
    if mended:
        rows = standing_transfers().filter(target__in=mended).annotate(place=PLACE)
        for row in rows.select_related("posting").order_by("place", "pk"):
            mended[row.target_id].filled_by = row.posting
    return lots


def recent_lots(kind: str, *, most: int = 8) -> list[Lot]:
    """Return the newest lots of a kind, with all that a list row prints."""
    return list(lot_list().filter(kind=kind)[:most])


@dataclass(frozen=True)
class TransferLine:
    """One transfer of a posting, with what people call its ends."""

    transfer: Transfer
    source: str
    target: str


def transfer_lines(posting: Posting) -> list[TransferLine]:
    """Return the transfers of a posting with their ends named; an empty name is the outside."""
    rows = posting_rows(posting.transfers.all())
    return [TransferLine(row, end_label(row.source), end_label(row.target)) for row in rows]


def end_label(lot: Lot | None) -> str:
    """Return what people call one end of a transfer."""
    return lot_label(lot) if lot else ""


@dataclass(frozen=True)
class HistoryEntry:
    """One line of a history; the mass in mg has a sign: taken above zero, given below.

    It is None where mass only changed its lot inside one bin.
    """

    what: str
    happened_at: datetime
    mass_mg: int | None
    url: str
    who: str
    note: str
    state: str


def history_entries(transfers, own: set[int]) -> list[HistoryEntry]:
    """Return history lines of transfers as seen from the lots of the given primary keys."""
    return [history_entry(row, own) for row in transfers]


def history_in_bin(bin, transfers) -> list[HistoryEntry]:
    """Return history lines of transfers as seen from a bin, whatever lot stood in it."""
    ends = [lot for row in transfers for lot in (row.source, row.target)]
    return history_entries(transfers, {lot.pk for lot in ends if lot and lot.bin_id == bin.pk})


def history_entry(row: Transfer, own: set[int]) -> HistoryEntry:
    """Return the line of one transfer."""
    is_taken, is_given = row.target_id in own, row.source_id in own
    other = row.source if is_taken else row.target
    facts = {"role": Transfer.Role(row.role).label, "place": end_label(other)}
    if is_taken and is_given:
        what, sign = _("%(role)s, topped up"), None
    elif is_taken:
        what, sign = _("%(role)s, from %(place)s") if other else "%(role)s", 1
    else:
        what, sign = _("%(role)s, to %(place)s") if other else "%(role)s", -1
    return written_entry(row, what % facts, sign)


def written_entry(row: Transfer, what: str, sign: int | None) -> HistoryEntry:
    """Return the line of a transfer that was put into words."""
    posting = row.posting
    notes = [posting.number, grouped_codes(posting.reference), posting.reason]
    if row.reverses_id:
        what = _("undone: %(what)s") % {"what": what}
    return HistoryEntry(
        what=what[:1].upper() + what[1:],
        happened_at=posting.happened_at,
        mass_mg=sign and sign * row.mass_mg,
        url=posting.get_absolute_url(),
        who=posting.by.get_full_name() or posting.by.get_username(),
        note=" · ".join(note for note in notes if note),
        state="reversed" if row.undone_by else "",
    )
