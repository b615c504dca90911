"""What the lead put first on a process sheet."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models import Polymer
from products.models import Design
from workshop.models.machines import Machine


class ChosenSetting(models.Model):
    """One setting of a design in a polymer on a machine as the lead chose it; without a value it is dropped.

    `name` is a quantity that is read, a time such as `cycle` or `step-cool`, or words of one's own.
    Append-only: the newest row of a name holds, and those before it are its history.
    """

    is_append_only = True

    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="+")
    polymer = models.ForeignKey(Polymer, on_delete=models.PROTECT, related_name="+")
    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=60)
    value = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    unit = models.CharField(max_length=12, blank=True)
    note = models.CharField(max_length=300)
    happened_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(name="chosensetting_newest", fields=["design", "polymer", "machine"])
        ]
        constraints = [
            models.CheckConstraint(name="chosensetting_says_why", condition=~Q(note="")),
            models.CheckConstraint(name="chosensetting_has_a_name", condition=~Q(name="")),
        ]

    def __str__(self):
        return f"{self.design}: {self.name}"

    @property
    def is_dropped(self) -> bool:
        """Whether it says that what was learned stands first again."""
        return self.value is None
