"""What a design is put together from, and how that comes apart again."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from products.models.designs import Design


class Bought(models.TextChoices):
    """What is bought and no plastic of ours."""

    SCREW = "screw", _("screw, nut or washer")
    INSERT = "insert", _("insert or other metal")
    GLUE = "glue", _("glue")
    OTHER = "other", _("anything else")


class JointKind(models.TextChoices):
    """How two items hold together."""

    INTERLOCK = "interlock", _("interlock")
    PRESS_FIT = "press-fit", _("press fit")
    SCREW = "screw", _("screw")
    GLUE = "glue", _("glue")
    WELD = "weld", _("weld")


class Item(models.Model):
    """A line of a parts list: so many of another design, or of a bought thing.

    The piece that is made after the design itself is no line; all else is fixed to it.
    """

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="items")
    line = models.PositiveSmallIntegerField()
    count = models.PositiveSmallIntegerField(default=1)
    component = models.ForeignKey(
        Design, null=True, blank=True, on_delete=models.PROTECT, related_name="used_in"
    )
    bought = models.CharField(max_length=6, choices=Bought, blank=True)
    bought_name = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["design", "line"]
        constraints = [
            models.UniqueConstraint(name="item_line_once", fields=["design", "line"]),
            models.CheckConstraint(name="item_counts", condition=Q(count__gt=0, line__gt=0)),
            models.CheckConstraint(
                name="item_made_or_bought",
                condition=Q(component__isnull=False, bought="", bought_name="")
                | (Q(component__isnull=True) & ~Q(bought="") & ~Q(bought_name="")),
            ),
            models.CheckConstraint(
                name="item_not_itself",
                condition=Q(component__isnull=True) | ~Q(component=F("design")),
            ),
        ]

    def __str__(self):
        return f"{self.count} \N{MULTIPLICATION SIGN} {self.name}"

    @property
    def name(self) -> str:
        """What it is called."""
        return self.component.name if self.component else self.bought_name


class Joint(models.Model):
    """What holds two items of a design; joints are undone in their order.

    An item is named by its line; 0 is the piece made after the design itself.
    """

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="joints")
    turn = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=JointKind)
    first_line = models.PositiveSmallIntegerField()
    second_line = models.PositiveSmallIntegerField()
    tool = models.CharField(max_length=60, blank=True)
    minutes = models.DecimalField(max_digits=5, decimal_places=1, default=0)

    class Meta:
        ordering = ["design", "turn"]
        constraints = [
            models.UniqueConstraint(name="joint_turn_once", fields=["design", "turn"]),
            models.CheckConstraint(name="joint_takes_time", condition=Q(minutes__gte=0)),
        ]

    def __str__(self):
        return f"{self.design}: {self.turn}"
