"""Lengths of sheets in mm, as they are sent and answered; whole um inside."""

from decimal import Decimal

from django.utils.translation import gettext_lazy as _
from rest_framework import serializers

from products.calculations.cut_plans import MOST_MM, UM_PER_MM
from products.calculations.sheet_sizes import Size, size_mm


class SideField(serializers.DecimalField):
    """A length kept in um, answered in mm; null when it is not known."""

    def __init__(self, source: str, **options):
        super().__init__(
            source=source,
            max_digits=9,
            decimal_places=3,
            allow_null=True,
            read_only=True,
            **options,
        )

    def to_representation(self, value):
        return super().to_representation(Decimal(value) / UM_PER_MM)


class SideBodyField(serializers.DecimalField):
    """A length in mm to the micrometre, or null."""

    def __init__(self, **options):
        limits = {"min_value": Decimal(1), "max_value": Decimal(MOST_MM)}
        super().__init__(
            max_digits=9, decimal_places=3, allow_null=True, default=None, **limits, **options
        )


def size_sent(sent: dict) -> Size | None:
    """Return the size of a body, None where it has none; raises for half a one."""
    sides = {name: sent.get(name) for name in ("length_mm", "width_mm")}
    missing = [name for name, value in sides.items() if value is None]
    if len(missing) == 1:
        raise serializers.ValidationError({missing[0]: [_("Send this size too, or neither.")]})
    return None if missing else size_mm(*sides.values())
