"""The label of a piece, before it is a part: its code, its material, and the name that is kept nowhere."""

from dataclasses import replace

from django.conf import settings
from django.utils.translation import gettext as _

from inventory.queries.make_ups import shares_of_lots
from products.calculations.label_geometry import Grid
from products.calculations.label_images import label_png
from products.calculations.label_sheets import sheet_pdf
from products.calculations.label_texts import LabelText
from products.calculations.qr_codes import label_address
from products.queries.addresses import printed_address
from products.queries.label_texts import blank, day, inside
from products.queries.sheets import DPI, HEIGHT_MM, WIDTH_MM
from workshop.models import Piece


def piece_text(piece: Piece, name: str) -> LabelText:
    """Return what stands on the label of a piece; raises AddressError when the printed address is none."""
    held = inside(piece.lot, shares_of_lots([piece.lot]))
    design = piece.visit.design.name
    text = blank(
        kind=_("Part"),
        title=name or design,
        lines=(design, settings.WORKSHOP_NAME) if name else (settings.WORKSHOP_NAME,),
        mark=held.mark,
        colour_name=piece.lot.colour.name,
        srgb=piece.lot.colour.srgb,
        strip=held.strip,
        date_text=day(piece.ended_at),
    )
    return replace(text, code=piece.code, address=label_address(printed_address(), piece.code))


def piece_pdf(piece: Piece, name: str) -> bytes:
    """Return the label as a PDF of its own size (62 x 29 mm)."""
    sizes = {"page_width_mm": WIDTH_MM, "page_height_mm": HEIGHT_MM}
    sizes |= {"label_width_mm": WIDTH_MM, "label_height_mm": HEIGHT_MM}
    edges = dict.fromkeys(("margin_left_mm", "margin_top_mm", "gap_x_mm", "gap_y_mm"), 0)
    grid = Grid(name=piece.code, columns=1, rows=1, **sizes, **edges)
    return sheet_pdf([piece_text(piece, name)], grid, title=piece.code)


def piece_png(piece: Piece, name: str) -> bytes:
    """Return the label as a PNG for a label printer of 300 dpi."""
    return label_png(piece_text(piece, name), WIDTH_MM, HEIGHT_MM, DPI)
