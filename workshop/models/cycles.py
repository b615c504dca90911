"""Cycles counted in a run: one row for each tap, and one for each tap that was taken back."""

from django.db import models
from django.db.models import Q

from workshop.models.moments import Moment, MomentQuerySet


class CycleQuerySet(MomentQuerySet):
    """Filters of cycles."""

    def standing(self):
        """Cycles that were counted and not taken back."""
        return self.filter(undoes__isnull=True, undone_by__isnull=True)


class Cycle(Moment):
    """One shot, sheet or other cycle that was counted, or the undoing of one."""

    pieces = models.PositiveSmallIntegerField()
    undoes = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="undone_by"
    )

    objects = CycleQuerySet.as_manager()

    class Meta(Moment.Meta):
        indexes = [models.Index(name="cycle_in_run", fields=["run", "happened_at"])]
        constraints = [
            models.CheckConstraint(
                name="cycle_counts_or_undoes",
                condition=Q(undoes__isnull=True, pieces__gt=0) | Q(undoes__isnull=False, pieces=0),
            )
        ]

    def __str__(self):
        return f"{self.run}: {self.happened_at:%H:%M:%S}"
