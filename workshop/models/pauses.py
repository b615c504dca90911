"""Pauses of a run, which do not count as time worked."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from workshop.models.moments import Moment


class Pause(Moment):
    """The start of a pause with its reason, or the row that ends one."""

    class Reason(models.TextChoices):
        BREAK = "break", _("break")
        MATERIAL = "material", _("material ran out")
        HEATING = "heating", _("waiting for heat")
        FAULT = "fault", _("machine fault")
        TOOLING = "tooling", _("change of tooling")
        CLEANING = "cleaning", _("cleaning")
        CHECK = "check", _("checking pieces")
        OTHER = "other", _("something else")

    reason = models.CharField(max_length=10, choices=Reason, blank=True)
    note = models.CharField(max_length=300, blank=True)
    ends = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="ended_by"
    )

    class Meta(Moment.Meta):
        indexes = [models.Index(name="pause_in_run", fields=["run", "happened_at"])]
        constraints = [
            models.CheckConstraint(
                name="pause_says_why",
                condition=(Q(ends__isnull=True) & ~Q(reason="")) | Q(ends__isnull=False, reason=""),
            ),
            models.CheckConstraint(
                name="pause_for_something_else_is_noted",
                condition=~Q(reason="other") | ~Q(note=""),
            ),
        ]

    def __str__(self):
        return f"{self.run}: {self.reason or 'resumed'}"

    @property
    def why(self) -> str:
        """Its reason in words."""
        if self.reason == self.Reason.OTHER:
            return self.note
        return f"{self.get_reason_display()}{': ' if self.note else ''}{self.note}"
