"""A polymer's sheet: every figure with its unit, its source and on what it rests, and what it must not meet."""

import json
from dataclasses import dataclass
from functools import lru_cache

from django.conf import settings
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.calculations.compatibilities import partners
from inventory.calculations.densities import float_or_sink
from inventory.calculations.own_figures import RULES, WINDOW, may_be_own
from inventory.calculations.properties import basis_of
from inventory.models import Blend, OwnFigure, Polymer
from inventory.queries.masses import localised
from inventory.queries.own_figures import (
    Own,
    ceiling_of,
    own_ceiling,
    own_history,
    own_of,
    since_said,
)

NO_BREAK = "\N{NO-BREAK SPACE}"

LABELS = {
    "inject-melt": _("Injecting: melt"),
    "inject-mould": _("Injecting: mould"),
    "extrude-melt": _("Extruding: melt"),
    "press-platen": _("Pressing: platens"),
    "form-sheet": _("Heat-forming and bending: sheet"),
    "dry-air": _("Drying: air"),
    "dry-hours": _("Drying: time"),
    "moisture": _("Moisture when it is melted, at most"),
    "density": _("Density"),
    "melt-density": _("Density of the melt"),
    "mould-shrinkage": _("Shrinkage in the mould, linear"),
    "youngs-modulus": _("Young's modulus"),
    "thermal-diffusivity": _("Thermal diffusivity"),
    "specific-heat-solid": _("Specific heat, solid"),
    "specific-heat-melt": _("Specific heat, melt"),
    "heat-of-fusion": _("Heat of fusion"),
    "melts-at": _("Melts at, or softens when it is amorphous"),
    "fume-above": _("Gives off fumes above"),
}
WINDOWS = ("inject-melt", "inject-mould", "extrude-melt", "press-platen", "form-sheet")
DRYING = ("dry-air", "dry-hours", "moisture")
SIZES = ("density", "melt-density", "mould-shrinkage", "youngs-modulus")
HEAT = (
    "thermal-diffusivity",
    "specific-heat-solid",
    "specific-heat-melt",
    "heat-of-fusion",
    "melts-at",
)
BASES = {
    "": _("published"),
    "memory": _("from memory: confirm it"),
    "judgement": _("our own judgement"),
    "common": _("common practice"),
    "own": _("own value"),
}
NEEDS = {
    "always": _("Always dry it before it is melted."),
    "yes": _("Dry it before it is melted."),
    "rarely": _("It rarely needs drying."),
    "surface": _("Only water on its surface: let it dry off, or dry it when it is wet."),
    "never": _("It is never melted here, so it is not dried either."),
}
TOLD = ("hazard", "reject_reason", "transition", "decomposes_c", "drying")
DRIED = ("yes", "always")
BATHS = (
    ("water", _("Water"), 0.9975),
    ("brine", _("Brine, all the salt it takes"), 1.197),
)
ANSWERS = {
    "floats": _("floats"),
    "sinks": _("sinks"),
    "unsure": _("too near to tell"),
}


@dataclass(frozen=True)
class Line:
    """A figure of a sheet: low, typical and high in its unit, the keys of its sources, and the own row."""

    name: str
    low: float | None
    typical: float | None
    high: float | None
    sources: tuple[str, ...]
    reference: tuple[float | None, float | None, float | None] | None = None
    own: OwnFigure | None = None
    above_fume_c: int | None = None

    @property
    def label(self) -> str:
        """What it is, in the reader's language."""
        return LABELS[self.name]

    @property
    def unit(self) -> str:
        """The unit of its values."""
        return RULES[self.name].unit

    @property
    def is_known(self) -> bool:
        """Whether there is any value."""
        return any(value is not None for value in (self.low, self.typical, self.high))

    @property
    def said(self) -> str:
        """Its values with their unit, in the reader's marks."""
        return values_said(self.low, self.typical, self.high, self.unit)

    @property
    def reference_said(self) -> str:
        """What the reference says where the figure is the workshop's own; else empty."""
        return values_said(*self.reference, self.unit) if self.reference else ""

    @property
    def since_said(self) -> str:
        """Since when it is the workshop's own; else empty."""
        return since_said(self.own) if self.own else ""

    @property
    def basis(self) -> str:
        """On what it rests: a code, empty when it is published."""
        return "own" if self.own else basis_of(self.sources)

    @property
    def basis_said(self) -> str:
        """On what it rests, in the reader's language."""
        return BASES[self.basis] if self.is_known else ""


@dataclass(frozen=True)
class Bath:
    """What a polymer does in a liquid of a density in g/cm3."""

    name: str
    label: str
    density: float
    answer: str

    @property
    def said(self) -> str:
        """Whether it floats, in the reader's language."""
        return ANSWERS[self.answer]


@dataclass(frozen=True)
class Sheet:
    """All that is known of a polymer, in the order in which a page prints it."""

    polymer: Polymer
    windows: list[Line]
    drying: list[Line]
    sizes: list[Line]
    heat: list[Line]
    fume: Line
    baths: list[Bath]
    partners: dict[str, list[str]]
    history: list[OwnFigure]

    @property
    def need(self) -> str:
        """Whether it is dried before it is melted: a code, or empty when nothing is known."""
        return (self.polymer.drying.get("need") or [""])[0]

    @property
    def need_said(self) -> str:
        """Whether it is dried before it is melted, in the reader's language."""
        return NEEDS.get(self.need, "")

    @property
    def lines(self) -> list[Line]:
        """Every figure, the fume ceiling last."""
        return [*self.windows, *self.drying, *self.sizes, *self.heat, self.fume]

    @property
    def used_sources(self) -> dict[str, str]:
        """What the keys of its sources stand for."""
        named = source_names()
        keys = {key for line in self.lines for key in line.sources}
        told = [self.polymer.sources.get(name, "") for name in TOLD]
        keys |= {key for value in told for key in value.split()}
        return {key: named[key] for key in sorted(keys) if key in named}


@lru_cache(maxsize=1)
def source_names() -> dict[str, str]:
    """Return what each key of a source stands for, as the file of the reference data says."""
    file = settings.ROOT / "fixtures" / "reference_materials.json"
    return json.loads(file.read_text())["source_keys"]


def sheet_of(polymer: Polymer) -> Sheet:
    """Return the sheet of a polymer; three queries."""
    own = own_of(polymer)
    ceiling = ceiling_of(polymer, own)
    symbols = list(Polymer.objects.filter(blend__isnull=True).values_list("symbol", flat=True))
    density = line_of(polymer, own, "density")
    return Sheet(
        polymer=polymer,
        windows=shown(polymer, [line_of(polymer, own, name, ceiling) for name in WINDOWS]),
        drying=shown(polymer, [line_of(polymer, own, name) for name in DRYING]),
        sizes=shown(polymer, [line_of(polymer, own, name) for name in SIZES]),
        heat=shown(polymer, [line_of(polymer, own, name) for name in HEAT]),
        fume=fume_line(polymer, own),
        baths=baths_of(density),
        partners=partners(polymer.symbol, symbols) if polymer.symbol in symbols else {},
        history=list(own_history(polymer)),
    )


def shown(polymer: Polymer, lines: list[Line]) -> list[Line]:
    """Return the lines that a sheet has: of reject material none by which it would be heated."""
    return [line for line in lines if may_be_own(line.name, is_rejected=polymer.is_rejected)]


def line_of(polymer: Polymer, own: Own, name: str, ceiling: int | None = None) -> Line:
    """Return a figure: the workshop's own beside the reference's, or the reference's."""
    low, typical, high, sources = reference_of(polymer, name)
    row, reference = own.get(name), (low, typical, high)
    if row:
        low, typical, high = (plain(row.low), plain(row.typical), plain(row.high))
    is_hot = ceiling is not None and RULES[name].heats and high is not None and high > ceiling
    return Line(
        name,
        low,
        typical,
        high,
        sources,
        reference=reference if row and reference != (None, None, None) else None,
        own=row,
        above_fume_c=ceiling if is_hot else None,
    )


def values_said(low, typical, high, unit: str) -> str:
    """Return values with their unit, such as 182 to 274 °C, or 0.955 g/cm³ (0.94 to 0.965)."""
    facts = {
        name: localised(f"{value:.10g}", "").strip()
        for name, value in (("low", low), ("typical", typical), ("high", high))
        if value is not None
    } | {"unit": f"{NO_BREAK}{unit}"}
    if low == high:
        one = "high" if typical is None else "typical"
        return f"{facts[one]}{facts['unit']}" if one in facts else ""
    if typical is None:
        return gettext("%(low)s to %(high)s%(unit)s") % facts
    return gettext("%(typical)s%(unit)s (%(low)s to %(high)s)") % facts


def plain(value) -> float | None:
    """Return a stored value as a number."""
    return None if value is None else float(value)


def reference_of(polymer: Polymer, name: str) -> tuple:
    """Return low, typical, high and the source keys of a figure of the reference data."""
    if name == "density":
        values = [plain(getattr(polymer, f"density_{end}")) for end in ("low", "typical", "high")]
        keys = [polymer.sources.get(f"density_{end}", "") for end in ("low", "typical", "high")]
        return *values, tuple(dict.fromkeys(" ".join(keys).split()))
    if RULES[name].kind == WINDOW:
        kept = polymer.drying if name in DRYING else polymer.windows
        low, high, keys = kept.get(name) or (None, None, "")
        return low, None, high, tuple(keys.split())
    low, typical, high, keys = polymer.properties.get(name) or (None, None, None, "")
    return low, typical, high, tuple(keys.split())


def fume_line(polymer: Polymer, own: Own) -> Line:
    """Return the fume ceiling in °C that holds, the reference's beside it."""
    row, reference = own_ceiling(polymer, own), polymer.fume_above_c
    return Line(
        "fume-above",
        None,
        ceiling_of(polymer, own),
        None,
        tuple(polymer.sources.get("fume_above_c", "").split()),
        reference=(None, reference, None) if row and reference else None,
        own=row,
    )


def baths_of(density: Line) -> list[Bath]:
    """Return what a polymer of that density does in water and in saturated brine; nothing without one."""
    if density.low is None:
        return []
    ends = {"density_low": density.low, "density_high": density.high}
    return [
        Bath(name, label, liquid, float_or_sink(**ends, liquid_density=liquid))
        for name, label, liquid in BATHS
    ]


def needs_drying(polymer: Polymer | None) -> bool:
    """Return whether a polymer is dried before it is melted; a blend is when one of its two is."""
    if polymer is None:
        return False
    blend = None if polymer.drying else pair_of(polymer)
    parts = [blend.main, blend.added] if blend else [polymer]
    return any((part.drying.get("need") or [""])[0] in DRIED for part in parts)


def pair_of(polymer: Polymer) -> Blend | None:
    """Return the two polymers that a blend is of, or None."""
    return Blend.objects.select_related("main", "added").filter(result=polymer).first()
