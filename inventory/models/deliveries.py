"""Weighed receipts from a source, kept as they were received."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models.codes import CodeField
from inventory.models.lots import Lot
from inventory.models.materials import Colour, Form, OriginClass, Polymer
from inventory.models.scales import Scale
from inventory.models.sources import Source


class Identification(models.TextChoices):
    """How the polymer was told."""

    MARK = "mark", _("mark on the item")
    STATEMENT = "statement", _("supplier's statement")
    FLOAT_SINK = "float-sink", _("float or sink")
    INSTRUMENT = "instrument", _("instrument")
    TEST = "test", _("melt or other test")
    UNKNOWN = "unknown", _("unknown")


class Condition(models.TextChoices):
    """How clean it came."""

    CLEAN = "clean", _("clean")
    WASHING = "washing", _("needs washing")
    CONTAMINATED = "contaminated", _("contaminated")


class Delivery(models.Model):
    """One weighed receipt from a source; accepted it becomes a lot, refused it does not."""

    uuid = models.UUIDField(unique=True)
    code = CodeField()
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="deliveries")
    delivered_on = models.DateField()
    gross_mg = models.BigIntegerField(null=True, blank=True)
    tare_mg = models.BigIntegerField(null=True, blank=True)
    net_mg = models.BigIntegerField()
    scale = models.ForeignKey(
        Scale, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    polymer = models.ForeignKey(
        Polymer, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    identified_by = models.CharField(max_length=12, choices=Identification)
    colour = models.ForeignKey(Colour, on_delete=models.PROTECT, related_name="+")
    form = models.CharField(max_length=10, choices=Form)
    origin_class = models.CharField(max_length=15, choices=OriginClass)
    former_use = models.CharField(max_length=200, blank=True)
    condition = models.CharField(max_length=12, choices=Condition, default=Condition.CLEAN)
    supplier_lot = models.CharField(max_length=60, blank=True)
    tests = models.CharField(max_length=300, blank=True)
    note = models.TextField(blank=True)
    photo = models.ImageField(upload_to="deliveries/", blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    recorded_at = models.DateTimeField()
    lot = models.OneToOneField(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="delivery"
    )
    refusal = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-id"]
        verbose_name_plural = "deliveries"
        constraints = [
            models.CheckConstraint(name="delivery_has_mass", condition=Q(net_mg__gt=0)),
            models.CheckConstraint(
                name="delivery_net_is_gross_less_tare",
                condition=Q(gross_mg__isnull=True, tare_mg__isnull=True)
                | Q(
                    gross_mg__isnull=False,
                    tare_mg__isnull=False,  # without it a missing tare answers neither yes nor no
                    tare_mg__gte=0,
                    net_mg=F("gross_mg") - F("tare_mg"),
                ),
            ),
            models.CheckConstraint(
                name="delivery_accepted_or_refused",
                condition=Q(lot__isnull=False, refusal="") | (Q(lot__isnull=True) & ~Q(refusal="")),
            ),
            models.CheckConstraint(
                name="delivery_unknown_has_no_polymer",
                condition=Q(identified_by="unknown", polymer__isnull=True)
                | (~Q(identified_by="unknown") & Q(polymer__isnull=False)),
            ),
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("inventory:delivery-detail", args=[self.code])

    @property
    def number(self) -> str:
        """Its shop number, such as D-0042."""
        return f"D-{self.pk:04d}"
