"""What all that happens while a run makes things shares."""

from django.conf import settings
from django.db import models

from workshop.models.runs import Run


class MomentQuerySet(models.QuerySet):
    """Filters of what happened in a run."""

    def in_order(self):
        """Rows as they happened in the workshop, not as they reached the book."""
        return self.order_by("happened_at", "id")


class Moment(models.Model):
    """One thing that happened in a run; a row is never changed, what undoes it is a row too."""

    is_append_only = True

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="%(class)ss")
    uuid = models.UUIDField(unique=True)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    objects = MomentQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ["id"]
