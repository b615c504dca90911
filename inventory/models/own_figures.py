"""What a workshop measured, or was told, in place of a figure of the reference data."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from inventory.models.materials import Polymer


class OwnFigure(models.Model):
    """One figure of a polymer as the lead set it; without any value it is the reference's again.

    Append-only: the newest row of a name holds, and those before it are its history.
    """

    is_append_only = True

    polymer = models.ForeignKey(Polymer, on_delete=models.PROTECT, related_name="own_figures")
    name = models.CharField(max_length=40)
    low = models.DecimalField(max_digits=9, decimal_places=4, null=True, blank=True)
    typical = models.DecimalField(max_digits=9, decimal_places=4, null=True, blank=True)
    high = models.DecimalField(max_digits=9, decimal_places=4, null=True, blank=True)
    note = models.CharField(max_length=300)
    happened_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(name="ownfigure_newest", fields=["polymer", "name", "-id"])]
        constraints = [
            models.CheckConstraint(name="ownfigure_says_why", condition=~Q(note="")),
            models.CheckConstraint(
                name="ownfigure_in_order",
                condition=(Q(low__isnull=True) | Q(high__isnull=True) | Q(low__lte=F("high")))
                & (Q(low__isnull=True) | Q(typical__isnull=True) | Q(low__lte=F("typical")))
                & (Q(typical__isnull=True) | Q(high__isnull=True) | Q(typical__lte=F("high"))),
            ),
        ]

    def __str__(self):
        return f"{self.polymer}: {self.name}"

    @property
    def is_back(self) -> bool:
        """Whether it says that the reference holds again."""
        return self.low is None and self.typical is None and self.high is None
