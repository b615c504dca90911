"""Sheets in stock that a cut run was opened for; append-only by trigger."""

from django.db import models
from django.db.models import Q

from products.models import Part
from workshop.models.runs import Run


class PlannedSheet(models.Model):
    """A sheet, or so many of a bag of them, that a run is to cut.

    While the run is open, what it has not loaded of them is spoken for; nothing keeps others from loading it.
    """

    is_append_only = True

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="planned_sheets")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    pieces = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(name="planned_sheet_once_per_run", fields=["run", "part"]),
            models.CheckConstraint(name="planned_sheet_has_pieces", condition=Q(pieces__gt=0)),
        ]

    def __str__(self):
        return f"{self.run}: {self.part}"
