"""Grids of labels and their calibration; lengths in mm."""

from decimal import Decimal

from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, ChangeSerializer, change_of
from inventory.api.fields import TextField, WholeField
from inventory.api.names import found
from inventory.api.reads import ListView
from products.actions.grids import (
    calibrate_grid,
    checked_grid,
    delete_grid,
    grid_refusal,
    save_grid,
)
from products.calculations.label_geometry import (
    Calibration,
    Grid,
    GridError,
    calibration_from_measurement,
)
from products.models import LabelGrid

MOST = Decimal(2000)


def length(least: int | None = 0, **options) -> serializers.DecimalField:
    """Return a field of a length in mm, to the hundredth."""
    low = {} if least is None else {"min_value": Decimal(least)}
    return serializers.DecimalField(
        max_digits=7, decimal_places=2, max_value=MOST, **low, **options
    )


def scale() -> serializers.DecimalField:
    """Return a field of a scale."""
    return serializers.DecimalField(max_digits=6, decimal_places=5)


class GridSerializer(serializers.Serializer):
    """Labels in rows and columns; a roll is a page of one label."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    page_width_mm = length()
    page_height_mm = length()
    columns = serializers.IntegerField()
    rows = serializers.IntegerField()
    margin_left_mm = length()
    margin_top_mm = length()
    gap_x_mm = length()
    gap_y_mm = length()
    label_width_mm = length()
    label_height_mm = length()


class CalibrationSerializer(serializers.Serializer):
    """What is added to print true: place x scale + offset."""

    offset_x_mm = length(None)
    offset_y_mm = length(None)
    scale_x = scale()
    scale_y = scale()


class ListedGridSerializer(GridSerializer, CalibrationSerializer):
    """A grid with its calibration."""


class GridAnswer(GridSerializer):
    """A grid as it was entered."""

    change = ChangeSerializer()


class GridBody(ActBody):
    """A new grid."""

    name = TextField(max_length=80)
    page_width_mm = length()
    page_height_mm = length()
    columns = WholeField(min_value=1, max_value=50, default=1)
    rows = WholeField(min_value=1, max_value=50, default=1)
    margin_left_mm = length(default=Decimal(0))
    margin_top_mm = length(default=Decimal(0))
    gap_x_mm = length(default=Decimal(0))
    gap_y_mm = length(default=Decimal(0))
    label_width_mm = length()
    label_height_mm = length()


class Grids(ActView, ListView):
    """Every grid by name; POST adds one."""

    act = "grid.edit"
    queryset = LabelGrid.objects.all()
    serializer_class = ListedGridSerializer
    search_fields = ("name",)
    ordering_fields = ("name",)
    body_class = GridBody
    answer_class = GridAnswer

    def perform(self, sent, act):
        figures = {name: sent[name] for name in Grid.__dataclass_fields__}
        grid = save_grid(geometry=checked_grid(figures), act=act)
        return figures | {"id": grid.pk, "change": change_of(act)}


class GridActView(ActView):
    """An act on the grid in the address."""

    act = "grid.edit"
    queryset = LabelGrid.objects.all()
    lookup_field = "id"

    def grid(self) -> LabelGrid:
        return found(self.get_queryset().filter(pk=self.kwargs["id"]).first())


class CalibrationBody(ActBody):
    """What was measured on an uncalibrated calibration page."""

    across_mm = length(1)
    down_mm = length(1)
    left_mm = length(None)
    top_mm = length(None)


class CalibrationAnswer(CalibrationSerializer):
    """The calibration that was worked out."""

    grid = serializers.CharField()
    change = ChangeSerializer()


class Calibrate(GridActView):
    """Keep what a printer needs added, from what was measured."""

    body_class = CalibrationBody
    answer_class = CalibrationAnswer

    def perform(self, sent, act):
        names = ("across_mm", "down_mm", "left_mm", "top_mm")
        grid = self.grid()
        try:
            wanted = calibration_from_measurement(
                grid.geometry, **{name: float(sent[name]) for name in names}
            )
        except GridError as error:
            raise grid_refusal(error.code) from None
        grid = calibrate_grid(grid=grid, calibration=wanted, act=act)
        change = change_of(act)
        kept = {name: Decimal(change.request[name]) for name in Calibration.__dataclass_fields__}
        return kept | {"grid": grid.name, "change": change}


class DeleteAnswer(serializers.Serializer):
    """A grid that was deleted."""

    grid = serializers.CharField()
    change = ChangeSerializer()


class Delete(GridActView):
    """Delete a grid; printings keep its name."""

    body_class = ActBody
    answer_class = DeleteAnswer

    def perform(self, sent, act):
        grid = self.grid()
        delete_grid(grid=grid, act=act)
        return {"grid": grid.name, "change": change_of(act)}
