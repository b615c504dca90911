"""What an hour, a kilowatt-hour, a machine and tooling cost; append-only, each with the day it holds from."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from workshop.calculations.rates import RATES
from workshop.models.machines import Machine, Tooling


class Rate(models.Model):
    """One rate as the lead set it; without an amount nobody knows it from that day on."""

    is_append_only = True

    class Name(models.TextChoices):
        LABOUR = "labour", _("labour per hour")
        ELECTRICITY = "electricity", _("price of a kilowatt-hour")
        POWER = "power", _("rated power")
        LOAD = "load", _("share of load")
        MACHINE_HOUR = "machine-hour", _("machine per hour of use")
        TOOLING_PRICE = "tooling-price", _("price of the tooling")
        TOOLING_CYCLES = "tooling-cycles", _("cycles it is expected to last")

    name = models.CharField(max_length=16, choices=Name)
    machine = models.ForeignKey(
        Machine, null=True, blank=True, on_delete=models.PROTECT, related_name="rates"
    )
    tooling = models.ForeignKey(
        Tooling, null=True, blank=True, on_delete=models.PROTECT, related_name="rates"
    )
    amount = models.DecimalField(max_digits=14, decimal_places=4, null=True, blank=True)
    currency = models.CharField(max_length=3, blank=True)
    holds_from = models.DateField()
    note = models.CharField(max_length=300, blank=True)
    happened_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                name="rate_not_below_zero", condition=Q(amount__isnull=True) | Q(amount__gte=0)
            ),
            models.CheckConstraint(
                name="rate_names_its_thing",
                condition=Q(name__in=["labour", "electricity"], machine=None, tooling=None)
                | Q(name__in=["power", "load", "machine-hour"], machine__isnull=False, tooling=None)
                | Q(
                    name__in=["tooling-price", "tooling-cycles"],
                    machine=None,
                    tooling__isnull=False,
                ),
            ),
        ]

    def __str__(self):
        return f"{self.name}: {self.amount}"

    @property
    def thing(self):
        """The machine or tooling that it is about, or None."""
        return self.machine or self.tooling

    @property
    def unit(self) -> str:
        """Its unit, with the currency where it is money."""
        unit = RATES[self.name].unit
        return "/".join(part for part in (self.currency, unit) if part)
