"""Lots, the unit of the ledger, and the holds that stop them."""

from dataclasses import dataclass

from django.conf import settings
from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models.bins import Bin
from inventory.models.codes import CodeField
from inventory.models.materials import Colour, Form, OriginClass, Polymer


@dataclass(frozen=True)
class Material:
    """What a lot is made of; an unknown polymer is None."""

    polymer: Polymer | None
    colour: Colour
    form: str


class LotQuerySet(models.QuerySet):
    """Filters of lots."""

    def open(self):
        """Lots that hold something now."""
        return self.filter(out_mg__lt=F("in_mg"))

    def taken(self):
        """Lots that have taken something that was not reversed since."""
        return self.filter(in_mg__gt=0)

    def with_hold(self):
        """Annotate whether a hold is on the lot."""
        return self.annotate(is_held=Exists(Hold.objects.open().filter(lot=OuterRef("pk"))))


class Lot(models.Model):
    """An identified quantity of one material."""

    class Kind(models.TextChoices):
        DELIVERY = "delivery", _("delivery")
        FILL = "fill", _("fill")
        CHARGE = "charge", _("charge")
        PART = "part", _("part")
        GAIN = "gain", _("weighing gain")

    code = CodeField()
    kind = models.CharField(max_length=10, choices=Kind)
    polymer = models.ForeignKey(
        Polymer, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    colour = models.ForeignKey(Colour, on_delete=models.PROTECT, related_name="+")
    form = models.CharField(max_length=10, choices=Form)
    origin_class = models.CharField(max_length=15, choices=OriginClass, blank=True)
    bin = models.ForeignKey(
        Bin, null=True, blank=True, on_delete=models.PROTECT, related_name="lots", db_index=False
    )
    in_mg = models.BigIntegerField(default=0)
    out_mg = models.BigIntegerField(default=0)
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    assembled_at = models.DateTimeField(null=True, blank=True)  # since then it gives nothing
    spoken_for_mg = models.PositiveBigIntegerField(
        null=True, blank=True
    )  # what pieces of open visits took of it, booked once those are settled
    filled_by = models.ForeignKey(
        "inventory.Posting", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    objects = LotQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(
                name="lot_open",
                fields=["kind", "polymer", "bin"],
                condition=Q(out_mg__lt=F("in_mg")),
            ),
            models.Index(name="lot_of_bin", fields=["bin", "-id"]),  # its history, newest first
        ]
        constraints = [
            models.CheckConstraint(
                name="lot_gives_no_more_than_it_took",
                condition=Q(out_mg__gte=0, out_mg__lte=F("in_mg")),
            ),
            models.UniqueConstraint(
                name="lot_one_open_per_bin",
                fields=["bin"],
                condition=Q(bin__isnull=False, out_mg__lt=F("in_mg")),
            ),
            models.CheckConstraint(
                name="lot_origin_only_from_outside",
                condition=Q(kind__in=["delivery", "gain"], origin_class__gt="")
                | Q(kind__in=["fill", "charge", "part"], origin_class=""),
            ),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("inventory:lot-detail", args=[self.code])

    @property
    def held_mg(self) -> int:
        """Milligrams in it now."""
        return self.in_mg - self.out_mg

    @property
    def free_mg(self) -> int:
        """Milligrams in it that nothing is made of yet."""
        return self.held_mg - (self.spoken_for_mg or 0)

    @property
    def material(self) -> Material:
        """Polymer, colour and form."""
        return Material(self.polymer, self.colour, self.form)

    @property
    def mark(self) -> str:
        """The ISO 11469 text of its polymer, empty when unknown."""
        return self.polymer.mark if self.polymer else ""


class HoldQuerySet(models.QuerySet):
    """Filters of holds."""

    def open(self):
        """Holds not lifted yet."""
        return self.filter(lifted_at__isnull=True)


class Hold(models.Model):
    """A stop on a lot, with a reason, until lifted."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="holds")
    reason = models.CharField(max_length=300)
    placed_at = models.DateTimeField()
    placed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    placed_role = models.CharField(max_length=20)
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    lifted_role = models.CharField(max_length=20, blank=True)
    lift_reason = models.CharField(max_length=300, blank=True)

    objects = HoldQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(name="hold_has_reason", condition=~Q(reason="")),
            models.CheckConstraint(
                name="hold_lifted_with_reason",
                condition=Q(lifted_at__isnull=True, lifted_by__isnull=True)
                | (Q(lifted_at__isnull=False, lifted_by__isnull=False) & ~Q(lift_reason="")),
            ),
        ]

    def __str__(self):
        return f"{self.lot}: {self.reason}"
