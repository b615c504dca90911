"""Between which values a design is made."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from products.calculations.quantities import QUANTITIES
from products.models.designs import Design


class Quantity(models.TextChoices):
    """What is read off a machine."""

    MELT = "melt", _("melt temperature")
    MOULD = "mould", _("mould temperature")
    PLATEN = "platen", _("platen temperature")
    DIE = "die", _("die temperature")
    SHEET = "sheet", _("sheet temperature")
    OVEN = "oven", _("oven temperature")
    INJECTION_PRESSURE = "injection-pressure", _("injection pressure")
    PACK_PRESSURE = "pack-pressure", _("holding pressure")
    MELT_PRESSURE = "melt-pressure", _("melt pressure")
    CLAMP_FORCE = "clamp-force", _("clamp force")
    PRESS_FORCE = "press-force", _("press force")
    SCREW_SPEED = "screw-speed", _("screw speed")
    ROTOR_SPEED = "rotor-speed", _("rotor speed")
    DRUM_SPEED = "drum-speed", _("drum speed")
    SPINDLE_SPEED = "spindle-speed", _("spindle speed")
    LINE_SPEED = "line-speed", _("line speed")
    FEED_SPEED = "feed-speed", _("feed speed")
    CURRENT = "current", _("motor current")

    @property
    def unit(self) -> str:
        """The unit in which it is read."""
        return QUANTITIES[self.value].unit


class Window(models.Model):
    """The values between which one quantity is kept while a design is made."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="windows")
    quantity = models.CharField(max_length=20, choices=Quantity)
    low = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    high = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(name="window_once_per_quantity", fields=["design", "quantity"]),
            models.CheckConstraint(
                name="window_has_an_end", condition=Q(low__isnull=False) | Q(high__isnull=False)
            ),
            models.CheckConstraint(
                name="window_in_order",
                condition=Q(low__isnull=True) | Q(high__isnull=True) | Q(low__lte=F("high")),
            ),
        ]

    def __str__(self):
        return f"{self.design}: {self.quantity}"
