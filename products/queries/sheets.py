"""Sheets of labels: what is printed, how it will look, and what to know before it is."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.utils import timezone

from inventory.models import Change
from products.calculations.label_geometry import pages
from products.calculations.label_images import label_png, label_svg
from products.calculations.label_pictures import picture
from products.calculations.label_previews import sheet_svg
from products.calculations.label_sheets import sheet_pdf
from products.calculations.label_texts import LabelText, missing_characters
from products.calculations.ranges import RangeNote
from products.models import Label, LabelGrid, Printing
from products.queries.label_texts import codes_to_print, label_texts
from products.queries.labels import printed_labels, thing_on
from products.queries.things import Thing, found_things

WIDTH_MM, HEIGHT_MM = 62.0, 29.0  # of a single label where nobody names a size
DPI = 300
OPEN_FOR = timedelta(minutes=15)  # enough for a printer that jams


def texts_of_labels(labels: Sequence[Label], *, on: datetime) -> list[LabelText]:
    """Return what stands on labels that were made, in their order; things that are gone are left out."""
    codes = {thing_on(label): label.code for label in labels}
    rows = found_things(codes)
    return label_texts(rows, codes, on=on)


def is_open(printing: Printing) -> bool:
    """Return whether a sheet may still be opened, to print it: later it would be a reprint unlogged.

    It also shows what things held when it was printed, which only holds for so long. The time
    that counts is that in the book.
    """
    recorded = Change.objects.filter(uuid=printing.uuid).values_list("recorded_at", flat=True)
    return any(timezone.now() < at + OPEN_FOR for at in recorded)


def sheet_of(printing: Printing) -> bytes | None:
    """Return the PDF of a printing as of the day it was printed, or None when nothing of it counts any more.

    Labels that were voided since are left out; without its grid there is no sheet.
    """
    labels = printed_labels(printing)
    if not labels or printing.grid is None:
        return None
    return sheet_pdf(
        texts_of_labels(labels, on=printing.printed_at),
        printing.grid.geometry,
        start=min(printing.start, printing.grid.capacity),
        calibration=printing.grid.calibration,
        title=str(printing),
    )


def preview_of(things: Sequence[Thing], grid: LabelGrid, start: int) -> str:
    """Return the first page of a sheet as an SVG, before it is printed.

    Raises GridError `start` when the sheet has no such label.
    """
    return sheet_svg(texts_to_print(things[: grid.capacity]), grid.geometry, start=start)


def texts_to_print(things: Sequence[Thing]) -> list[LabelText]:
    """Return what a print now would put on the labels of things."""
    rows = found_things(things)
    return label_texts(rows, codes_to_print(rows), on=timezone.now())


def single_svg(label: Label, *, width_mm: float = WIDTH_MM, height_mm: float = HEIGHT_MM) -> str:
    """Return one label as an SVG in millimetres."""
    (text,) = texts_of_labels([label], on=timezone.now())
    return label_svg(text, width_mm, height_mm)


def single_png(label: Label, *, width_mm: float, height_mm: float, dpi: int) -> bytes:
    """Return one label as a PNG for a printer of a resolution (dots per inch)."""
    (text,) = texts_of_labels([label], on=timezone.now())
    return label_png(text, width_mm, height_mm, dpi)


@dataclass(frozen=True)
class Outlook:
    """What to know of a sheet before it is printed: sheets it takes, and what will not be as wished."""

    sheets: int
    notes: tuple[RangeNote, ...] = ()
    left_out: tuple[str, ...] = ()
    cut: tuple[str, ...] = ()
    missing: str = field(default="")


def outlook_of(things: Sequence[Thing], grid: LabelGrid, start: int) -> Outlook:
    """Return what to know of the first page of a sheet; the rest of its labels look alike.

    Raises GridError `start` when the sheet has no such label.
    """
    texts = texts_to_print(things[: grid.capacity])
    drawn = [
        picture(text, float(grid.label_width_mm), float(grid.label_height_mm)) for text in texts
    ]
    return Outlook(
        sheets=pages(grid.geometry, len(things), start),
        notes=drawn[0].notes if drawn else (),
        left_out=tuple(sorted({name for each in drawn for name in each.left_out})),
        cut=tuple(sorted({name for each in drawn for name in each.cut})),
        missing="".join(dict.fromkeys("".join(missing_characters(text) for text in texts))),
    )
