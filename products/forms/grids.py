"""Grids of labels: their figures in mm, and what was measured on a calibration page."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm, NumberField
from products.calculations.label_geometry import Calibration, Grid, calibration_from_measurement
from products.models import LabelGrid


class LengthField(NumberField):
    """A length in mm, to the hundredth."""

    def __init__(self, **options):
        super().__init__(**{"max_digits": 7} | options)


class GridForm(ActForm):
    """A sheet or roll by name, with its figures."""

    happened_at = None
    name = forms.CharField(label=_("Name"), max_length=80)
    page_width_mm = LengthField(label=_("Page, width"), min_value=0)
    page_height_mm = LengthField(label=_("Page, height"), min_value=0)
    columns = forms.IntegerField(label=_("Labels in a row"), min_value=1, max_value=50, initial=1)
    rows = forms.IntegerField(label=_("Labels in a column"), min_value=1, max_value=50, initial=1)
    label_width_mm = LengthField(label=_("Label, width"), min_value=0)
    label_height_mm = LengthField(label=_("Label, height"), min_value=0)
    margin_left_mm = LengthField(label=_("Left margin"), min_value=0, initial=0)
    margin_top_mm = LengthField(label=_("Top margin"), min_value=0, initial=0)
    gap_x_mm = LengthField(label=_("Gap between columns"), min_value=0, initial=0)
    gap_y_mm = LengthField(label=_("Gap between rows"), min_value=0, initial=0)

    def figures(self) -> dict:
        """Return the figures of the valid form."""
        return {name: self.cleaned_data[name] for name in Grid.__dataclass_fields__}

    @staticmethod
    def initial_of(grid: LabelGrid) -> dict:
        """Return what the form shows for a grid that exists."""
        return {name: getattr(grid, name) for name in Grid.__dataclass_fields__}


class CalibrationForm(ActForm):
    """What was measured on a printed calibration page, in mm."""

    happened_at = None
    across_mm = LengthField(label=_("Ruler across, measured"), min_value=1)
    down_mm = LengthField(label=_("Ruler down, measured"), min_value=1)
    left_mm = LengthField(label=_("First cross, from the left edge"))
    top_mm = LengthField(label=_("First cross, from the top edge"))

    def calibration(self, grid: LabelGrid) -> Calibration:
        """Return what the printer needs added; raises GridError `calibration`."""
        names = ("across_mm", "down_mm", "left_mm", "top_mm")
        measured = {name: float(self.cleaned_data[name]) for name in names}
        return calibration_from_measurement(grid.geometry, **measured)
