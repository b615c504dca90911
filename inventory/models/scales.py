"""Scales, and masses that remember how they became known."""

from dataclasses import dataclass
from math import ceil

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from inventory.calculations.weighing import standard_uncertainty


class Scale(models.Model):
    """A weighing instrument with its capacity and the step of its display."""

    name = models.CharField(max_length=60, unique=True)
    capacity_mg = models.BigIntegerField()
    resolution_mg = models.BigIntegerField()
    is_in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="scale_resolution_below_capacity",
                condition=Q(resolution_mg__gt=0, resolution_mg__lt=F("capacity_mg")),
            )
        ]

    def __str__(self):
        return self.name


class Basis(models.TextChoices):
    """How a mass became known."""

    WEIGHED = "weighed", _("weighed")
    TYPED = "typed", _("typed, no scale named")
    BOOK = "book", _("all that the book held")


@dataclass(frozen=True)
class Mass:
    """A mass in mg with its basis and standard uncertainty in micrograms."""

    mg: int
    basis: str = Basis.TYPED
    scale: Scale | None = None
    uncertainty_ug: int = 0

    @classmethod
    def weighed(cls, mg: int, scale: Scale | None, *, readings: int = 1, count: int = 1) -> "Mass":
        """Return a mass read from a scale; without a scale it counts as typed."""
        if scale is None:
            return cls(mg)
        uncertainty_mg = standard_uncertainty(
            resolution_mg=scale.resolution_mg, readings=readings, count=count
        )
        # Rounded up: three weighings of step d have U = d exactly, and a gap of one step is within it.
        return cls(mg, Basis.WEIGHED, scale, ceil(uncertainty_mg * 1000))

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        return {
            "mg": self.mg,
            "basis": str(self.basis),
            "scale": self.scale.name if self.scale else None,
            "uncertainty_ug": self.uncertainty_ug,
        }
