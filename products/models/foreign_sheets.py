"""Process sheets that came with a design from another workshop; append-only by trigger."""

from django.db import models

from inventory.models import Polymer
from products.models.designs import Design


class ForeignSheet(models.Model):
    """What another workshop told to have worked for a design in a polymer on a kind of machine.

    `limits` and `settings` are as its file has them (`calculations/foreign_sheets.py`): decimal numbers as
    text. Nothing here is reckoned with; people read it until they have tried it.
    """

    is_append_only = True

    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="foreign_sheets")
    polymer = models.ForeignKey(Polymer, on_delete=models.PROTECT, related_name="+")
    machine_kind = models.CharField(max_length=12)
    limits = models.JSONField(default=dict)
    runs = models.PositiveSmallIntegerField(default=0)
    is_second_hand = models.BooleanField(default=False)  # it was not tried there either
    settings = models.JSONField()
    happened_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return f"{self.design}: {self.polymer}, {self.machine_kind}"
