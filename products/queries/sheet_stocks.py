"""Sheets in stock, as cut plans take them: here, not on hold, of a known size, pieces first."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from urllib.parse import urlencode

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet

from inventory.models import Form, Hold
from products.calculations.cut_plans import MOST_SHEETS, Stock
from products.models import Part
from products.queries.spoken_sheets import Claim, all_spoken_for, claims, free_pieces

SIZED = Q(length_um__isnull=False) | Q(design__length_um__isnull=False)
TIMES = "*"
WHOLE = Q(lot__out_mg=0) | Q(pieces__gt=1)  # of a bag some may be gone, of one sheet nothing


def sheets_here() -> QuerySet[Part]:
    """Return the sheets that could be cut: of known size and thickness, whole, here, not on hold."""
    held = Hold.objects.open().filter(lot=OuterRef("lot"))
    sheets = Part.objects.here().filter(SIZED, WHOLE, design__form=Form.SHEET)
    known = sheets.filter(design__thickness_mm__isnull=False, lot__polymer__isnull=False)
    return known.exclude(Exists(held))


@dataclass(frozen=True)
class StockGroup:
    """Sheets in stock that are alike: polymer, colour, thickness, how many whole ones and pieces."""

    polymer: str
    colour: str
    thickness_mm: Decimal
    sheets: int
    pieces: int

    @property
    def thickness(self) -> str:
        """The thickness without needless zeros."""
        return f"{self.thickness_mm.normalize():f}"

    @property
    def query(self) -> str:
        """The address that fills in the form of a cut plan."""
        asked = {"from_stock": "on", "polymer": self.polymer, "colour": self.colour}
        return urlencode(asked | {"thickness": self.thickness})


def stock_groups() -> list[StockGroup]:
    """Return what sheets are in stock that no open run is to cut, in few queries; a bag counts as one here."""
    alike = ("lot__polymer__symbol", "lot__colour__name", "design__thickness_mm")
    pieces = Count("pk", filter=Q(length_um__isnull=False))
    free = sheets_here().exclude(pk__in=all_spoken_for(claims()))
    rows = free.order_by(*alike).values_list(*alike).annotate(n=Count("pk"), kept=pieces)
    return [
        StockGroup(symbol, colour, thickness, n - kept, kept)
        for symbol, colour, thickness, n, kept in rows
    ]


def sheets_alike(*, polymer: str, thickness_mm: Decimal, colour: str = "") -> list[Part]:
    """Return the sheets of a polymer and thickness, of one colour or any: pieces first, then the oldest.

    What an open run is to cut is left out.
    """
    alike = described(polymer, thickness_mm, colour)
    free = sheets_here().exclude(pk__in=all_spoken_for(claims()))
    found = free.filter(**alike).select_related("design", "lot")
    return list(found.order_by(F("length_um").desc(nulls_last=True), "made_at", "pk")[:MOST_SHEETS])


def described(polymer: str, thickness_mm: Decimal, colour: str) -> dict:
    """Return what finds the sheets of a polymer and thickness, of one colour or any."""
    alike = {"lot__polymer__symbol": polymer, "design__thickness_mm": thickness_mm}
    return alike | ({"lot__colour__name": colour} if colour else {})


def spoken_alike(*, polymer: str, thickness_mm: Decimal, colour: str = "") -> list[str]:
    """Return what the open runs are called that are to cut such sheets; each once."""
    found = claims()
    alike = described(polymer, thickness_mm, colour)
    keys = sheets_here().filter(pk__in=found, **alike).values_list("pk", flat=True)
    return list(dict.fromkeys(claim.label for key in keys for claim in found[key]))


@dataclass(frozen=True)
class TakenSheet:
    """A sheet in stock that a plan cuts: its code, the open runs that are to cut it, whether it is free."""

    code: str
    claims: list[Claim]
    is_here: bool
    is_free: bool


def sheets_taken(codes: Iterable[str]) -> list[TakenSheet]:
    """Return the sheets of a plan, each once, as they stand now; a code counts as often as it is cut."""
    wanted, found = Counter(filter(None, codes)), claims()
    here = {part.code: part for part in sheets_here().filter(code__in=wanted).select_related("lot")}
    keys = dict(Part.objects.filter(code__in=wanted).values_list("code", "pk"))
    return [
        TakenSheet(
            code=code,
            claims=found.get(keys.get(code), []),
            is_here=code in here,
            is_free=code in here and free_pieces(here[code], found) >= count,
        )
        for code, count in wanted.items()
    ]


def codes_if_free(sheets: Iterable[TakenSheet], codes: Iterable[str]) -> str:
    """Return the sheets of a plan as a run is opened for them; empty unless all of them are free."""
    return ",".join(filter(None, codes)) if all(sheet.is_free for sheet in sheets) else ""


def sheets_called(codes: Iterable[str]) -> list[Part]:
    """Return sheets by their codes, in that order, whether they are still here or not."""
    codes = list(codes)[:MOST_SHEETS]
    rows = Part.objects.filter(SIZED, code__in=codes, design__form=Form.SHEET)
    found = {part.code: part for part in rows.select_related("design", "lot")}
    return [found[code] for code in codes if code in found]


def free_of(sheets: list[Part]) -> dict[str, int]:
    """Return how many pieces of each sheet nobody spoke for, by its code."""
    found = claims()
    return {part.code: free_pieces(part, found) for part in sheets}


def taken_written(stock: Iterable[Stock]) -> str:
    """Return the sheets of an answer as its address has them: codes, each with how many of it."""
    counts = Counter(code for each in stock for code in each.codes)
    return ",".join(f"{code}{TIMES}{n}" for code, n in counts.items())


def taken_read(text: str) -> dict[str, int | None]:
    """Return the codes of such an address with how many pieces; None for one that says no number."""
    pairs = (each.partition(TIMES) for each in text.split(","))
    return {
        code: min(int(n), MOST_SHEETS) if n.isascii() and n.isdecimal() else None
        for code, _times, n in pairs
    }


def stock_of(sheets: list[Part], pieces: Mapping[str, int | None]) -> tuple[Stock, ...]:
    """Return sheets as a cut plan takes them, those of one size together.

    `pieces` says by code how many of a bag are taken; without a number all that are left.
    """
    codes = defaultdict(list)
    for part in sheets:
        size = part.size
        key = (size.length_um, size.width_um, part.own_size is not None)
        codes[key] += [part.code] * (pieces.get(part.code) or part.pieces_left or part.pieces)
    return tuple(
        Stock(length_um, width_um, len(found[:MOST_SHEETS]), is_piece, tuple(found[:MOST_SHEETS]))
        for (length_um, width_um, is_piece), found in codes.items()
    )
