"""Machines, their tooling and the log of their purges."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models import Polymer
from products.models import Design, Work
from products.models.windows import number_in_words


def nothing_or_above_zero(*names: str) -> Q:
    """Return the condition that each of some figures is unknown or above zero."""
    return Q(*(Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__gt": 0}) for name in names))


def all_or_none(*names: str) -> Q:
    """Return the condition that some figures are known together, or not at all."""
    return Q(**{f"{name}__isnull": True for name in names}) | Q(
        **{f"{name}__isnull": False for name in names}
    )


PLATEN = ("platen_length_mm", "platen_width_mm")
FRAME = ("frame_length_um", "frame_width_um", "frame_depth_um")


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
    force_kn = models.PositiveIntegerField(
        null=True, blank=True
    )  # of a press, or that shuts a mould
    platen_length_mm = models.PositiveIntegerField(null=True, blank=True)
    platen_width_mm = models.PositiveIntegerField(null=True, blank=True)
    shot_mm3 = models.PositiveBigIntegerField(null=True, blank=True)  # most in one shot
    barrel_mm3 = models.PositiveBigIntegerField(null=True, blank=True)  # flights and front together
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
            ),
            models.CheckConstraint(
                name="machine_limits_above_zero",
                condition=nothing_or_above_zero("force_kn", "shot_mm3", "barrel_mm3", *PLATEN),
            ),
            models.CheckConstraint(
                name="machine_barrel_holds_a_shot",
                condition=Q(barrel_mm3__isnull=True)
                | Q(shot_mm3__isnull=True)
                | Q(barrel_mm3__gte=F("shot_mm3")),
            ),
            models.CheckConstraint(name="machine_platen_whole", condition=all_or_none(*PLATEN)),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("workshop:machine-detail", args=[self.pk])

    @property
    def shot_cm3(self) -> str:
        """What it injects at most in one shot as it is written, empty when nobody said it."""
        return in_cm3(self.shot_mm3)

    @property
    def barrel_cm3(self) -> str:
        """What its barrel holds as it is written, empty when nobody said it."""
        return in_cm3(self.barrel_mm3)


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
    projected_mm2 = models.PositiveBigIntegerField(null=True, blank=True)
    frame_length_um = models.PositiveBigIntegerField(null=True, blank=True)
    frame_width_um = models.PositiveBigIntegerField(null=True, blank=True)
    frame_depth_um = models.PositiveBigIntegerField(null=True, blank=True)
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
            models.CheckConstraint(
                name="tooling_sizes_above_zero",
                condition=nothing_or_above_zero("projected_mm2", *FRAME),
            ),
            models.CheckConstraint(name="tooling_frame_whole", condition=all_or_none(*FRAME)),
        ]

    def __str__(self):
        return self.name

    @property
    def shot_cm3(self) -> str:
        """Its shot volume as it is written, empty when nobody said it."""
        return in_cm3(self.shot_mm3)

    @property
    def frame_mm(self) -> str:
        """The inside of its frame as it is written, such as 600 x 600 x 10; empty when nobody said it."""
        sides = [getattr(self, name) for name in FRAME]
        return (
            " × ".join(number_in_words(Decimal(um) / UM_PER_MM) for um in sides)
            if all(sides)
            else ""
        )

    @property
    def frame_mm3(self) -> int | None:
        """What its frame holds, in whole mm³, or None when nobody said its size."""
        if self.frame_length_um is None:
            return None
        um3 = self.frame_length_um * self.frame_width_um * self.frame_depth_um
        return um3 // UM_PER_MM**3

    @property
    def projected_cm2(self) -> float | None:
        """The area that the force acts on, in cm²: of the frame, or as it was said for a mould."""
        if self.frame_length_um is not None:
            return self.frame_length_um * self.frame_width_um / (10 * UM_PER_MM) ** 2
        return self.projected_mm2 / MM2_PER_CM2 if self.projected_mm2 else None


UM_PER_MM = 1000
MM2_PER_CM2 = 100


def in_cm3(mm3: int | None) -> str:
    """Return a volume as it is written in cm³, empty when nobody said it."""
    return number_in_words(Decimal(mm3) / 1000) if mm3 else ""


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
