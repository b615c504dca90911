"""Grids of labels, and how a printer is calibrated for one."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.forms.fields import ActForm
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import paged
from products.actions.grids import (
    calibrate_grid,
    checked_grid,
    delete_grid,
    grid_refusal,
    save_grid,
)
from products.calculations.label_geometry import UNTOUCHED, GridError, ruler_lengths_mm
from products.calculations.label_sheets import calibration_pdf
from products.forms.grids import CalibrationForm, GridForm
from products.models import LabelGrid
from products.views.drawings import pdf


@reads
def index(request):
    grids = paged(request, LabelGrid.objects.all())
    context = {"place": "none", "page": grids, "can": granted(request.user)}
    return page(request, "products/labels/grids.html", context)


@allows("grid.edit")
def create(request):
    return written(request, None)


@allows("grid.edit")
def edit(request, pk):
    return written(request, get_object_or_404(LabelGrid, pk=pk))


def written(request, grid: LabelGrid | None):
    """Show the form of a grid, and write the grid when it was sent."""
    form = GridForm(request.POST or None, initial=GridForm.initial_of(grid) if grid else None)
    if form.is_valid():
        geometry = attempt(form, checked_grid, fields=form.figures())
        act = form.act(request.user)
        if geometry and attempt(form, save_grid, geometry=geometry, act=act, grid=grid):
            messages.success(request, _("%(name)s is written down.") % {"name": geometry.name})
            return redirect("products:grid-list")
    return page(request, "products/labels/grid.html", {"place": "none", "grid": grid}, form)


@allows("grid.edit")
def delete(request, pk):
    grid = get_object_or_404(LabelGrid, pk=pk)
    form = ActForm(request.POST or None)
    if form.is_valid():
        attempt(form, delete_grid, grid=grid, act=form.act(request.user))
        if not form.errors:
            messages.success(request, _("%(name)s is deleted.") % {"name": grid.name})
            return redirect("products:grid-list")
    return page(request, "products/labels/grid_delete.html", {"place": "none", "grid": grid}, form)


@allows("grid.edit")
def calibrate(request, pk):
    grid = get_object_or_404(LabelGrid, pk=pk)
    form = CalibrationForm(request.POST or None)
    if form.is_valid():
        calibration = attempt(form, measured, measurement=form, grid=grid)
        act = form.act(request.user)
        if calibration and attempt(
            form, calibrate_grid, grid=grid, calibration=calibration, act=act
        ):
            messages.success(request, _("Kept. Print the page once more to check it."))
            return redirect("products:grid-calibrate", pk=grid.pk)
    across, down = ruler_lengths_mm(grid.geometry)
    context = {"place": "none", "grid": grid, "across": across, "down": down}
    return page(request, "products/labels/calibrate.html", context, form)


def measured(*, measurement: CalibrationForm, grid: LabelGrid):
    """Return the calibration that was measured; refuses what no printer explains."""
    try:
        return measurement.calibration(grid)
    except GridError as error:
        raise grid_refusal(error.code) from None


@reads
def calibration(request, pk):
    grid = get_object_or_404(LabelGrid, pk=pk)
    is_check = "check" in request.GET
    across, down = ruler_lengths_mm(grid.geometry)
    texts = [
        _("Print at 100\u00a0%, not fitted to the page."),
        _("Measure the ruler across; it should be %(mm)s mm.") % {"mm": across},
        _("Measure the ruler down; it should be %(mm)s mm.") % {"mm": down},
        _("Measure how far the first cross lies from the left and from the top edge."),
    ]
    known = grid.calibration if is_check else UNTOUCHED
    title = f"{grid.name}, {_('calibration')}"
    content = calibration_pdf(grid.geometry, texts, calibration=known, title=title)
    return pdf(content, f"{title}.pdf")
