"""Rounds: walks through the bins in use, each counted once or skipped with a reason."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from inventory.models.bins import Bin


class RoundQuerySet(models.QuerySet):
    """Filters of rounds."""

    def open(self):
        """Rounds that somebody may still go on with."""
        return self.filter(finished_at__isnull=True)


class Round(models.Model):
    """One walk through the bins of a place, or through all; several people may share it."""

    place = models.CharField(max_length=60, blank=True)  # empty: everywhere
    note = models.CharField(max_length=120, blank=True)
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    finished_at = models.DateTimeField(null=True, blank=True)
    finished_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    objects = RoundQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("inventory:round-detail", args=[self.pk])

    @property
    def number(self) -> str:
        """Its number as people say it."""
        return f"C-{self.pk:04d}"


class Stop(models.Model):
    """One bin on the route of a round, and why it was passed over, if it was."""

    round = models.ForeignKey(Round, on_delete=models.PROTECT, related_name="stops")
    bin = models.ForeignKey(Bin, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveIntegerField()
    skipped_at = models.DateTimeField(null=True, blank=True)
    skipped_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    skip_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["round", "position"]
        constraints = [
            models.UniqueConstraint(name="stop_once_per_round", fields=["round", "bin"]),
            models.CheckConstraint(
                name="stop_skipped_with_reason",
                condition=Q(skipped_at__isnull=True, skipped_by__isnull=True, skip_reason="")
                | (Q(skipped_at__isnull=False, skipped_by__isnull=False) & ~Q(skip_reason="")),
            ),
        ]

    def __str__(self):
        return f"{self.round} {self.bin}"
