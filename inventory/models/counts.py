"""Counts: what a scale showed of a bin, beside the book; append-only by trigger."""

from dataclasses import dataclass

from django.conf import settings
from django.db import models
from django.db.models import Exists, F, OuterRef, Q

from inventory.calculations.weighing import expanded, sum_uncertainty
from inventory.models.bins import Bin
from inventory.models.lots import Lot
from inventory.models.postings import Posting
from inventory.models.rounds import Stop
from inventory.models.scales import Mass, Scale


@dataclass(frozen=True)
class Reading:
    """What a scale showed of a bin; the bin's tare comes off unless another is given, 0 for none."""

    shown_mg: int
    scale: Scale | None = None
    tare_mg: int | None = None

    def taken_off_mg(self, bin: Bin) -> int:
        """Return the tare to take off, in mg."""
        return bin.tare_mg if self.tare_mg is None else self.tare_mg

    def net(self, bin: Bin) -> Mass:
        """Return what is in the bin, never below zero."""
        taken_off_mg = self.taken_off_mg(bin)
        readings = 2 if taken_off_mg else 1
        return Mass.weighed(max(0, self.shown_mg - taken_off_mg), self.scale, readings=readings)

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        scale = self.scale.name if self.scale else None
        return {"shown_mg": self.shown_mg, "scale": scale, "tare_mg": self.tare_mg}


class CountQuerySet(models.QuerySet):
    """Filters of counts."""

    def standing(self):
        """Counts that were not reversed, or only to be replaced by a correction that stands."""
        replaced = Posting.objects.standing().filter(replaces=OuterRef("posting"))
        stands = Q(posting__isnull=True) | Q(posting__reversed_by__isnull=True)
        return self.filter(stands | Exists(replaced))


class Count(models.Model):
    """One weighing of a bin, accepted: the book agreed (no posting) or was corrected by one.

    The net mass is what the scale showed less the tare taken off, never below zero. The
    uncertainties are standard ones, of the reading and of what the book said then.
    """

    is_append_only = True

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

    @property
    def expanded_mg(self) -> float:
        """U (k = 2) of the difference, in mg."""
        return expanded(sum_uncertainty((self.book_uncertainty_ug, self.uncertainty_ug))) / 1000

    @property
    def is_reversed(self) -> bool:
        """Whether its correction was reversed; the posting must have come with `reversed_by`."""
        return self.posting is not None and hasattr(self.posting, "reversed_by")

    @property
    def state(self) -> str:
        """Agreed, corrected or reversed."""
        if self.posting_id is None:
            return "agreed"
        return "reversed" if self.is_reversed else "corrected"
