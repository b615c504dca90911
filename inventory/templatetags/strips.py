"""The make-up strip: what a lot consists of, drawn as one bar with its figures under it.

Segments keep the order they are given in, so layers of a charge show in loading
order. A segment with a colour is drawn in it; one without (an origin class, a
melt pass) gets a neutral tone and ruling, told apart by its place and its text.
"""

from dataclasses import dataclass

from django import template
from django.utils.translation import ngettext

from inventory.calculations.masses import MG_PER_UNIT
from inventory.queries.masses import unit_here
from inventory.templatetags.quantities import bulk, mass, percent

register = template.Library()

WIDTH = 1000  # of the drawing; the page stretches it
SLIVER = 6  # over 1.5 px on a strip of 260 px, so that a trace of something stays visible
ROWS = 8  # of figures under the strip, unless the page asks for another number
TONES = 6
GRAM_MG = 1_000


@dataclass(frozen=True)
class Segment:
    """One share as drawn and written; `tone` is empty where the material's colour is known."""

    label: str
    share: float
    mass_mg: int | None
    srgb: str
    tone: str
    left: float = 0
    width: float = 0


def _read(segment, name, default):
    if isinstance(segment, dict):
        return segment.get(name, default)
    return getattr(segment, name, default)


def _widths(shares: list[float]) -> list[float]:
    """Return drawn widths: true shares, but for slivers, whose excess the wider ones carry."""
    whole = max(1.0, sum(shares))
    least = min(SLIVER, WIDTH / (2 * len(shares))) if shares else 0
    true = [WIDTH * share / whole for share in shares]
    drawn = [max(width, least) for width in true]
    excess = max(0.0, sum(drawn) - WIDTH * min(1.0, sum(shares)))
    spare = sum(width - least for width in drawn)
    keep = 1 - excess / spare if spare else 1
    return [least + (width - least) * max(0.0, keep) for width in drawn]


def _placed(segments) -> list[Segment]:
    present = [segment for segment in segments if (_read(segment, "share", 0) or 0) > 0]
    widths = _widths([float(_read(segment, "share", 0)) for segment in present])
    placed, left, toned = [], 0.0, 0
    for segment, width in zip(present, widths, strict=True):
        srgb = _read(segment, "srgb", "") or ""
        placed.append(
            Segment(
                label=str(_read(segment, "label", "")),
                share=float(_read(segment, "share", 0)),
                mass_mg=_read(segment, "mass_mg", None),
                srgb=srgb,
                tone="" if srgb else str(toned % TONES + 1),
                left=round(left, 2),
                width=round(width, 2),
            )
        )
        left += width
        toned += not srgb
    return placed


def _rows(placed: list[Segment], count: int) -> list[Segment]:
    """Return the lines of text: all, or the largest in their order and one for the rest."""
    if len(placed) <= count:
        return placed
    by_size = sorted(placed, key=lambda segment: segment.share, reverse=True)
    largest, rest = by_size[: count - 1], by_size[count - 1 :]
    masses = [segment.mass_mg for segment in rest]
    other = Segment(
        label=ngettext("%(count)d other", "%(count)d others", len(rest)) % {"count": len(rest)},
        share=sum(segment.share for segment in rest),
        mass_mg=None if None in masses else sum(masses),
        srgb="",
        tone="other",
    )
    return [segment for segment in placed if segment in largest] + [other]


def _written(mass_mg: int | None, *, in_bulk: bool) -> str:
    """Write a mass with the decimals of its neighbours, so that the column lines up."""
    if mass_mg is None:
        return ""
    return bulk(mass_mg, 3) if in_bulk and abs(mass_mg) >= GRAM_MG else mass(mass_mg)


@register.inclusion_tag("components/make_up_strip.html")
def make_up_strip(segments, label="", rows=ROWS):
    """Draw the strip of segments with `label`, `share` (0 to 1), `mass_mg` and `srgb` each.

    The bar shows every segment; the text has at most `rows` lines, the last
    of which sums up the rest.
    """
    placed = _placed(segments or [])
    shown = _rows(placed, max(2, int(rows)))
    in_bulk = any((row.mass_mg or 0) >= MG_PER_UNIT[unit_here("kg")] for row in shown)
    return {
        "segments": placed,
        "rows": [(row, _written(row.mass_mg, in_bulk=in_bulk)) for row in shown],
        "label": label,
        "spoken": ", ".join(f"{row.label} {percent(row.share)}" for row in shown),
    }
