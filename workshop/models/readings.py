"""Readings off the machine, each kept with the window that held when it was read."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from inventory.models import Polymer
from products.calculations.quantities import place_in_window
from products.models import Quantity
from workshop.models.moments import Moment


class Reading(Moment):
    """One value read off a machine, beside its window and the polymer's fume ceiling at that time."""

    class WindowFrom(models.TextChoices):
        DESIGN = "design", _("the design")
        POLYMER = "polymer", _("the polymer")

    quantity = models.CharField(max_length=20, choices=Quantity)
    value = models.DecimalField(max_digits=8, decimal_places=2)
    low = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    high = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    window_from = models.CharField(max_length=10, choices=WindowFrom, blank=True)
    window_source = models.CharField(max_length=120, blank=True)
    polymer = models.ForeignKey(
        Polymer, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    fume_above_c = models.PositiveSmallIntegerField(null=True, blank=True)
    is_above_fume = models.BooleanField(default=False)

    class Meta(Moment.Meta):
        indexes = [models.Index(name="reading_in_run", fields=["run", "quantity", "happened_at"])]
        constraints = [
            models.CheckConstraint(
                name="reading_window_in_order",
                condition=Q(low__isnull=True) | Q(high__isnull=True) | Q(low__lte=F("high")),
            ),
            models.CheckConstraint(
                name="reading_above_fume_names_the_ceiling",
                condition=Q(is_above_fume=False) | Q(fume_above_c__isnull=False),
            ),
        ]

    def __str__(self):
        return f"{self.run}: {self.quantity} {self.value}"

    @property
    def place(self) -> str:
        """Whether it lies in its window, above or below it; empty without one."""
        return place_in_window(self.value, self.low, self.high)

    @property
    def unit(self) -> str:
        """The unit in which it was read."""
        return Quantity(self.quantity).unit
