"""Audit files: a question about the book with its answer, frozen at a checkpoint; append-only by trigger."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models import Checkpoint


class AuditFile(models.Model):
    """What was asked, and what the book answered at a checkpoint.

    The answer is kept in the words of that day; the entries that it names are read from the
    book whenever it is opened, by their places in the tree.
    """

    is_append_only = True

    class Kind(models.TextChoices):
        LOT = "lot", _("part or lot")
        RUN = "run", _("run")
        DESIGN = "design", _("design")
        SOURCE = "source", _("source")
        PERIOD = "period", _("period")

    uuid = models.UUIDField(unique=True)
    kind = models.CharField(max_length=10, choices=Kind)
    subject = models.CharField(max_length=120, blank=True)  # code, number or name; of a period none
    since = models.DateField(null=True, blank=True)
    until = models.DateField(null=True, blank=True)
    question = models.CharField(max_length=400)  # in the words of that day
    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="+")
    content = models.JSONField()
    digest = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=20)
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                name="auditfile_asks_about_something",
                condition=~Q(subject="")
                | Q(kind="period", since__isnull=False, until__isnull=False),
            ),
            models.CheckConstraint(
                name="auditfile_period_in_order",
                condition=Q(since__isnull=True) | Q(until__isnull=True) | Q(since__lte=F("until")),
            ),
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("workshop:audit-detail", args=[self.uuid])

    @property
    def number(self) -> str:
        """What people call it."""
        return f"A-{self.pk:04d}"
