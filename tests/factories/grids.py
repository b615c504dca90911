"""A sheet and a roll of labels."""

import factory

from products.models import LabelGrid


class GridFactory(factory.django.DjangoModelFactory):
    """Labels of 63.5 x 33.9 mm on A4, three in a row, eight in a column."""

    class Meta:
        model = LabelGrid

    name = factory.Sequence(lambda number: f"Sheet {number}")
    page_width_mm = 210
    page_height_mm = 297
    columns = 3
    rows = 8
    margin_left_mm = 7.25
    margin_top_mm = 12.9
    gap_x_mm = 2.5
    label_width_mm = 63.5
    label_height_mm = 33.9


class RollFactory(GridFactory):
    """One label of 57 x 32 mm."""

    page_width_mm = 57
    page_height_mm = 32
    columns = 1
    rows = 1
    margin_left_mm = 0
    margin_top_mm = 0
    gap_x_mm = 0
    label_width_mm = 57
    label_height_mm = 32
