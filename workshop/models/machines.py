"""Machines, their tooling and the log of their purges."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models import Polymer
from products.models import Design, Work
from products.models.windows import number_in_words


class Machine(models.Model):
    """A machine of the workshop; it remembers the polymer it last worked."""

    class Kind(models.TextChoices):
        GRANULATOR = "granulator", _("granulator")
        BLENDER = "blender", _("blender")
        PRESS = "press", _("press")
        INJECTION = "injection", _("injection machine")
        EXTRUDER = "extruder", _("extruder")
        CUTTER = "cutter", _("cutter")
        FORMING = "forming", _("forming station")
        OVEN = "oven", _("oven")

    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=12, choices=Kind)
    place = models.CharField(max_length=60, blank=True)
    capacity_mg = models.BigIntegerField(null=True, blank=True)
    last_polymer = models.ForeignKey(
        Polymer, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    note = models.TextField(blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="machine_takes_something",
                condition=Q(capacity_mg__isnull=True) | Q(capacity_mg__gt=0),
            )
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("workshop:machine-detail", args=[self.pk])


class Tooling(models.Model):
    """A mould, frame, die, jig or blade that a run uses."""

    class Kind(models.TextChoices):
        MOULD = "mould", _("mould")
        FRAME = "frame", _("frame")
        DIE = "die", _("die")
        SCREEN = "screen", _("screen")
        BLADE = "blade", _("blade")
        JIG = "jig", _("jig")

    class Make(models.TextChoices):
        WELDED = "welded", _("welded")
        TURNED = "turned", _("turned")
        MILLED = "milled", _("milled")
        PLATES = "plates", _("cut plates with an exchangeable middle")
        CAST = "cast", _("cast")
        BOUGHT = "bought", _("bought")

    class Clamp(models.TextChoices):
        BOLTS = "bolts", _("bolts")
        TOGGLES = "toggles", _("toggles")
        SCREW = "screw", _("screw clamp")
        PLATEN = "platen", _("platens of the machine")
        THREAD = "thread", _("threaded onto the nozzle")

    class Condition(models.TextChoices):
        GOOD = "good", _("good")
        WORN = "worn", _("worn, still fit")
        MEND = "mend", _("to be mended before use")

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=10, choices=Kind)
    cavities = models.PositiveSmallIntegerField(default=1)
    capacity_mg = models.BigIntegerField(null=True, blank=True)
    work = models.CharField(max_length=10, choices=Work, blank=True)  # which line of a route
    designs = models.ManyToManyField(Design, blank=True, related_name="+")
    make = models.CharField(max_length=10, choices=Make, blank=True)
    shot_mm3 = models.PositiveBigIntegerField(null=True, blank=True)
    clamp = models.CharField(max_length=10, choices=Clamp, blank=True)
    changeover_minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    condition = models.CharField(max_length=10, choices=Condition, default=Condition.GOOD)
    upkeep = models.CharField(max_length=200, blank=True)
    upkeep_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "tooling"
        constraints = [
            models.CheckConstraint(name="tooling_has_a_cavity", condition=Q(cavities__gt=0)),
            models.CheckConstraint(
                name="tooling_takes_something",
                condition=Q(capacity_mg__isnull=True) | Q(capacity_mg__gt=0),
            ),
            models.CheckConstraint(
                name="tooling_has_a_shot", condition=Q(shot_mm3__isnull=True) | Q(shot_mm3__gt=0)
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def shot_cm3(self) -> str:
        """Its shot volume as it is written, empty when nobody said it."""
        return number_in_words(Decimal(self.shot_mm3) / 1000) if self.shot_mm3 else ""


class Purge(models.Model):
    """A machine cleaned of the polymer it last worked."""

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="purges")
    polymer = models.ForeignKey(
        Polymer, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    happened_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300)

    class Meta:
        ordering = ["-id"]
        constraints = [models.CheckConstraint(name="purge_says_how", condition=~Q(note=""))]

    def __str__(self):
        return f"{self.machine}: {self.note}"
