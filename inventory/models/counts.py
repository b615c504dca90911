"""Counts: what a scale showed of a bin, beside the book; append-only by trigger."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from inventory.models.bins import Bin
from inventory.models.lots import Lot
from inventory.models.postings import Posting
from inventory.models.rounds import Stop
from inventory.models.scales import Scale


class CountQuerySet(models.QuerySet):
    """Filters of counts."""

    def standing(self):
        """Counts that were not reversed."""
        return self.filter(Q(posting__isnull=True) | Q(posting__reversed_by__isnull=True))


class Count(models.Model):
    """One weighing of a bin, accepted: the book agreed (no posting) or was corrected by one.

    The net mass is what the scale showed less the tare taken off, never below zero. The
    uncertainties are standard ones, of the reading and of what the book said then.
    """

    uuid = models.UUIDField(unique=True)
    bin = models.ForeignKey(Bin, on_delete=models.PROTECT, related_name="counts")
    lot = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )  # what the bin held by the book
    stop = models.ForeignKey(
        Stop, null=True, blank=True, on_delete=models.PROTECT, related_name="counts"
    )
    posting = models.OneToOneField(
        Posting, null=True, blank=True, on_delete=models.PROTECT, related_name="count_made"
    )
    book_mg = models.BigIntegerField()
    book_uncertainty_ug = models.BigIntegerField()
    shown_mg = models.BigIntegerField()
    tare_mg = models.BigIntegerField()
    net_mg = models.BigIntegerField()
    scale = models.ForeignKey(
        Scale, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    uncertainty_ug = models.BigIntegerField()
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=20)
    reason = models.CharField(max_length=300, blank=True)

    objects = CountQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                name="count_net_is_shown_less_tare",
                condition=Q(net_mg=F("shown_mg") - F("tare_mg"))
                | Q(net_mg=0, shown_mg__lt=F("tare_mg")),
            ),
            models.CheckConstraint(
                name="count_masses_not_negative",
                condition=Q(
                    book_mg__gte=0,
                    shown_mg__gte=0,
                    tare_mg__gte=0,
                    net_mg__gte=0,
                    book_uncertainty_ug__gte=0,
                    uncertainty_ug__gte=0,
                ),
            ),
            models.CheckConstraint(
                name="count_corrects_with_reason",
                condition=Q(posting__isnull=True) | ~Q(reason=""),
            ),
        ]

    def __str__(self):
        return f"{self.bin} {self.net_mg} mg"

    @property
    def difference_mg(self) -> int:
        """What the scale showed more than the book said."""
        return self.net_mg - self.book_mg
