"""Labelled containers."""

from django.db import models
from django.db.models import Q
from django.urls import reverse

from inventory.models.codes import CodeField
from inventory.models.materials import Colour, Polymer


class BinQuerySet(models.QuerySet):
    """Filters of bins."""

    def in_use(self):
        """Bins that are not retired."""
        return self.filter(retired_at__isnull=True)


class Bin(models.Model):
    """A labelled container with a tare; it holds at most one open lot."""

    code = CodeField()
    name = models.CharField(max_length=20, unique=True)
    place = models.CharField(max_length=60, blank=True)
    tare_mg = models.BigIntegerField(default=0)
    capacity_mg = models.BigIntegerField()
    polymer = models.ForeignKey(
        Polymer, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    colour = models.ForeignKey(
        Colour, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    created_at = models.DateTimeField(auto_now_add=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    objects = BinQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(name="bin_tare_not_negative", condition=Q(tare_mg__gte=0)),
            models.CheckConstraint(name="bin_has_room", condition=Q(capacity_mg__gt=0)),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("inventory:bin-detail", args=[self.code])
