"""Grids of labels are saved by name, calibrated for a printer, and deleted."""

import json
from dataclasses import asdict
from decimal import Decimal
from pathlib import Path

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from products.calculations.label_geometry import Calibration, Grid, GridError
from products.calculations.label_plans import LEAST_LABEL_MM
from products.models import LabelGrid

SENTENCES = {
    "grid-name": _("Give the grid a name."),
    "grid-figure": _("A length here is no size; give mm above zero, gaps and margins from zero."),
    "grid-count": _("Give 1 to 50 labels in a row and in a column."),
    "grid-page": _("The labels leave the page; check its size, the margins and the gaps."),
    "label-small": _("A label is at least 15 mm high and wide."),
    "calibration": _(
        "No printer is that far off; print at 100\u00a0% on the right paper and measure again."
    ),
}
HUNDREDTH, FINE = Decimal("0.01"), Decimal("0.00001")


def grid_refusal(code: str):
    """Return the refusal of a grid or a calibration by its code."""
    return refusal(code, SENTENCES[code])


@transaction.atomic
def save_grid(*, geometry: Grid, act: Act, grid: LabelGrid | None = None) -> LabelGrid:
    """Add a grid, or change one; its calibration stays.

    Refuses `name-taken` and `label-small`; the figures were checked when the geometry was made.
    A repeated UUID changes nothing.
    """
    key = grid.pk if grid else None
    request = act.request("label grid", grid=key, **columns_of(geometry))
    if done := earlier(act, request):
        return outcome_of(done, LabelGrid)
    others = LabelGrid.objects.exclude(pk=key) if grid else LabelGrid.objects.all()
    if others.filter(name__iexact=geometry.name).exists():
        raise refusal("name-taken", _("A grid of this name exists; choose another name."))
    if min(geometry.label_width_mm, geometry.label_height_mm) < LEAST_LABEL_MM:
        raise grid_refusal("label-small")
    grid = fresh(grid) if grid else LabelGrid()
    for name, value in columns_of(geometry).items():
        setattr(grid, name, value)
    grid.save()
    record_change(act=act, subject=grid.name, request=request, row=grid)
    return grid


@transaction.atomic
def calibrate_grid(*, grid: LabelGrid, calibration: Calibration, act: Act) -> LabelGrid:
    """Keep what a printer needs added so that this grid prints true.

    A repeated UUID changes nothing.
    """
    figures = {
        name: Decimal(value).quantize(FINE if name.startswith("scale") else HUNDREDTH)
        for name, value in asdict(calibration).items()
    }
    request = act.request("calibrate grid", grid=grid.pk, **figures)
    if done := earlier(act, request):
        return outcome_of(done, LabelGrid)
    grid = fresh(grid)
    for name, value in figures.items():
        setattr(grid, name, value)
    grid.save()
    record_change(act=act, subject=grid.name, request=request, row=grid)
    return grid


@transaction.atomic
def delete_grid(*, grid: LabelGrid, act: Act) -> None:
    """Delete a grid; printings keep its name. A repeated UUID changes nothing."""
    request = act.request("delete grid", grid=grid.name)
    if earlier(act, request):
        return
    record_change(act=act, subject=grid.name, request=request, row=grid)
    fresh(grid).delete()


@transaction.atomic
def load_grids(path: Path) -> int:
    """Load the sample grids of a file, and return how many it holds; those of a known name stay as they are."""
    rows = json.loads(path.read_text())["grids"]
    for row in rows:
        columns = columns_of(Grid(**row))
        LabelGrid.objects.get_or_create(name=columns.pop("name"), defaults=columns)
    return len(rows)


def columns_of(geometry: Grid) -> dict:
    """Return the columns of a grid's row, lengths to the hundredth of a mm."""
    return {
        name: Decimal(value).quantize(HUNDREDTH) if name.endswith("_mm") else value
        for name, value in asdict(geometry).items()
    }


def checked_grid(fields: dict) -> Grid:
    """Return the geometry of some figures.

    Refuses `grid-name`, `grid-figure`, `grid-count` and `grid-page`.
    """
    sizes = {name: float(v) if name.endswith("_mm") else v for name, v in fields.items()}
    try:
        return Grid(**sizes)
    except GridError as error:
        raise grid_refusal(error.code) from None
