"""Nested plans: answers that a search found once and that are kept; append-only by trigger."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse


class NestedPlan(models.Model):
    """Which outlines are cut out of which sheets, frozen with its question; masses in mg."""

    is_append_only = True

    uuid = models.UUIDField(unique=True)
    polymer = models.CharField(max_length=40, blank=True)
    thickness_um = models.PositiveIntegerField()
    density_g_cm3 = models.DecimalField(max_digits=6, decimal_places=3)
    sheets_mg = models.BigIntegerField()
    parts_mg = models.BigIntegerField()
    kept_mg = models.BigIntegerField()
    scrap_mg = models.BigIntegerField()
    dust_mg = models.BigIntegerField()
    content = models.JSONField()
    made_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                name="nested_plan_adds_up",
                condition=Q(
                    sheets_mg=F("parts_mg") + F("kept_mg") + F("scrap_mg") + F("dust_mg"),
                    parts_mg__gte=0,
                    kept_mg__gte=0,
                    scrap_mg__gte=0,
                    dust_mg__gte=0,
                ),
            )
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("products:nested-plan-detail", args=[self.pk])

    @property
    def number(self) -> str:
        """Its shop number, such as N-0007."""
        return f"N-{self.pk:04d}"

    @property
    def search(self) -> dict | None:
        """How long was searched (`asked_s`, and `spent_ms` by the clock) by which `program`; None of old plans."""
        return self.content.get("search")

    @property
    def yielded(self) -> float:
        """The mass of the parts over that of the sheets, 0 to 1."""
        return self.parts_mg / self.sheets_mg if self.sheets_mg else 0.0
