"""Recalls: one act that stopped everything that holds some of certain lots."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.lots import Hold, Lot


class Recall(models.Model):
    """Everything that held some of these lots was put on hold, with one reason.

    A lot of which less than the least share came from them was left out; 0 leaves out none.
    """

    uuid = models.UUIDField(unique=True)
    lots = models.ManyToManyField(Lot, related_name="recalls")
    holds = models.ManyToManyField(Hold, related_name="recalls")
    least_permille = models.PositiveIntegerField(default=0)
    reason = models.CharField(max_length=300)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=20)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(name="recall_has_reason", condition=~Q(reason="")),
            models.CheckConstraint(
                name="recall_share_is_a_share", condition=Q(least_permille__lte=1000)
            ),
        ]

    def __str__(self):
        return self.number

    @property
    def codes(self) -> list[str]:
        """The codes of the lots it is about."""
        return sorted(lot.code for lot in self.lots.all())

    @property
    def number(self) -> str:
        """What people call it."""
        return f"RC-{self.pk:04d}"
