"""What a meter of energy showed before and after a run, or what it says was used."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from workshop.models.moments import Moment


class Metering(Moment):
    """One value off a meter; what was noted last counts."""

    class What(models.TextChoices):
        START = "start", _("meter at the start")
        END = "end", _("meter at the end")
        USED = "used", _("used in the run")

    what = models.CharField(max_length=5, choices=What)
    kwh = models.DecimalField(max_digits=12, decimal_places=3)

    class Meta(Moment.Meta):
        constraints = [
            models.CheckConstraint(name="metering_not_below_zero", condition=Q(kwh__gte=0))
        ]

    def __str__(self):
        return f"{self.run}: {self.what} {self.kwh} kWh"
