"""Between which values a design is made."""

from decimal import Decimal

from django.db import models
from django.db.models import F, Q
from django.utils.formats import number_format
from django.utils.translation import gettext
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

    @property
    def in_words(self) -> str:
        """It with its unit, such as 190 to 230 °C."""
        return window_in_words(self.low, self.high, Quantity(self.quantity).unit)


def window_in_words(low, high, unit: str) -> str:
    """Return a window with its unit, such as 190 to 230 °C; empty without an end."""
    facts = {"unit": f"\N{NO-BREAK SPACE}{unit}"}
    facts |= {"low": number_in_words(low)} if low is not None else {}
    facts |= {"high": number_in_words(high)} if high is not None else {}
    if "low" in facts and "high" in facts:
        return gettext("%(low)s to %(high)s%(unit)s") % facts
    if "low" in facts:
        return gettext("at least %(low)s%(unit)s") % facts
    return gettext("at most %(high)s%(unit)s") % facts if "high" in facts else ""


def number_in_words(value: Decimal) -> str:
    """Return a number as the reader writes it, all its digits but end zeros."""
    value = Decimal(value).normalize()
    places = max(0, -value.as_tuple().exponent)
    written = number_format(value, decimal_pos=places, force_grouping=True)
    return written.replace("-", "\N{MINUS SIGN}")
