"""What was decided or set, where no mass moved; append-only like the ledger."""

from django.conf import settings
from django.db import models


class Change(models.Model):
    """One act that moved no mass: a hold, a lifting, a run opened, a bin retired."""

    is_append_only = True

    uuid = models.UUIDField(unique=True)
    verb = models.CharField(max_length=40)
    subject = models.CharField(max_length=60)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=20)
    reason = models.CharField(max_length=300, blank=True)
    row = models.BigIntegerField(null=True, blank=True)  # key of what was made or changed
    request = models.JSONField()
    fingerprint = models.CharField(max_length=64)

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(name="change_subject", fields=["subject"]),
            models.Index(name="change_verb", fields=["verb"]),
        ]

    def __str__(self):
        return f"{self.verb} {self.subject}"
