"""Passports: the public page of a part, a snapshot that is never edited, only issued anew."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from products.models.parts import Part


class Passport(models.Model):
    """One issued version of a part's passport: what was known, frozen."""

    is_append_only = True

    uuid = models.UUIDField(unique=True)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="passports")
    version = models.PositiveSmallIntegerField()
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    reason = models.CharField(max_length=300, blank=True)
    content = models.JSONField()
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["-version"]
        constraints = [
            models.UniqueConstraint(name="passport_version_once", fields=["part", "version"]),
            models.CheckConstraint(
                name="passport_reissue_has_reason", condition=Q(version=1) | ~Q(reason="")
            ),
            models.CheckConstraint(
                name="passport_version_counts_from_1", condition=Q(version__gt=0)
            ),
        ]

    def __str__(self):
        return f"{self.part} version {self.version}"
