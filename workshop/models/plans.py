"""Plans: what was meant to be done when a run was started from one; append-only by trigger."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from workshop.models.runs import Run


class Plan(models.Model):
    """The suggestion that a run was started from, frozen as it was shown."""

    is_append_only = True

    uuid = models.UUIDField(unique=True)
    run = models.OneToOneField(Run, on_delete=models.PROTECT, related_name="plan")
    charge_mg = models.BigIntegerField()
    content = models.JSONField()
    made_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        constraints = [models.CheckConstraint(name="plan_has_charge", condition=Q(charge_mg__gt=0))]

    def __str__(self):
        return f"{self.run}"

    def get_absolute_url(self):
        return reverse("workshop:run-plan", args=[self.run.code])

    @property
    def draws(self) -> list[dict]:
        """What was to be drawn: name and code of a bin or delivery, lot, masses in mg."""
        return self.content["draws"]
