"""What is made."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models import Form, Polymer
from products.calculations.pass_limits import MOST_PERCENT, MOST_TIMES, PassLimit
from products.calculations.sheet_sizes import Size


class Operation(models.TextChoices):
    """What a run does."""

    GRANULATE = "granulate", _("granulate")
    BLEND = "blend", _("blend")
    PRESS = "press", _("press")
    INJECT = "inject", _("inject")
    EXTRUDE = "extrude", _("extrude")
    CUT = "cut", _("cut")
    FORM = "form", _("form")


MAKES_PARTS = (
    Operation.PRESS,
    Operation.INJECT,
    Operation.EXTRUDE,
    Operation.CUT,
    Operation.FORM,
)


class Work(models.TextChoices):
    """What is done on the way to a thing: an operation of a run, or work of the hands."""

    WASH = "wash", _("wash and dry")
    GRANULATE = Operation.GRANULATE.value, Operation.GRANULATE.label
    BLEND = Operation.BLEND.value, Operation.BLEND.label
    PRESS = Operation.PRESS.value, Operation.PRESS.label
    INJECT = Operation.INJECT.value, Operation.INJECT.label
    EXTRUDE = Operation.EXTRUDE.value, Operation.EXTRUDE.label
    CUT = Operation.CUT.value, Operation.CUT.label
    FORM = Operation.FORM.value, Operation.FORM.label
    FINISH = "finish", _("finish")
    ASSEMBLE = "assemble", _("assemble")


class Use(models.TextChoices):
    """What a thing is meant for, where that needs an approval which no record gives."""

    FOOD = "food", _("food or drink")
    TOYS = "toys", _("toys")
    MAINS = "mains", _("mains electricity")
    LOAD = "load", _("bearing a load")
    FIRE = "fire", _("beside fire or in buildings where fire rules hold")


def size_whole() -> Q:
    """Return the condition that a row has a length and a width above zero, or neither."""
    return Q(length_um__isnull=True, width_um__isnull=True) | Q(
        length_um__isnull=False, width_um__isnull=False, length_um__gt=0, width_um__gt=0
    )


class Design(models.Model):
    """A thing the workshop makes: its mass, the polymers allowed, how it is made and tracked."""

    class Tracking(models.TextChoices):
        PIECE = "piece", _("by piece")
        BAG = "bag", _("by bag")

    name = models.CharField(max_length=80, unique=True)
    form = models.CharField(
        max_length=10,
        choices=[(f, f.label) for f in (Form.PART, Form.SHEET, Form.PROFILE)],
        default=Form.PART,
    )
    made_by = models.CharField(max_length=10, choices=[(each, each.label) for each in MAKES_PARTS])
    tracked = models.CharField(max_length=5, choices=Tracking, default=Tracking.PIECE)
    nominal_mass_mg = models.BigIntegerField()
    polymers = models.ManyToManyField(Polymer, blank=True, related_name="+")
    thickness_mm = models.DecimalField(
        max_digits=6, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0.01)]
    )
    # Of a sheet, as it is usually made; a part of it may have a size of its own.
    length_um = models.PositiveIntegerField(null=True, blank=True)
    width_um = models.PositiveIntegerField(null=True, blank=True)
    pieces_per_cycle = models.PositiveSmallIntegerField(default=1)
    is_packaging = models.BooleanField(default=False)
    surface_mm2 = models.PositiveIntegerField(null=True, blank=True)
    photo = models.ImageField(upload_to="designs/", blank=True)
    care = models.TextField(blank=True)
    repair = models.TextField(blank=True)
    spare_parts = models.TextField(blank=True)
    taking_apart = models.TextField(blank=True)
    not_for = models.TextField(blank=True)
    life = models.TextField(blank=True)
    inspection = models.TextField(blank=True)
    is_coated = models.BooleanField(default=False)
    has_inserts = models.BooleanField(default=False)
    uses = models.JSONField(default=list, blank=True)  # Use values: what it is meant for
    route = models.JSONField(default=list, blank=True)  # in order: {"work": Work, "note": text}
    note = models.TextField(blank=True)
    # At most this share of a charge, by mass, was melted so many times or more before.
    passes_from = models.PositiveSmallIntegerField(null=True, blank=True)
    passes_most_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(name="design_has_mass", condition=Q(nominal_mass_mg__gt=0)),
            models.CheckConstraint(name="design_makes_pieces", condition=Q(pieces_per_cycle__gt=0)),
            models.CheckConstraint(name="design_size_whole", condition=size_whole()),
            models.CheckConstraint(
                name="design_pass_limit_whole",
                condition=Q(passes_from__isnull=True, passes_most_percent__isnull=True)
                | Q(
                    passes_from__isnull=False,
                    passes_most_percent__isnull=False,
                    passes_from__range=(1, MOST_TIMES),
                    passes_most_percent__lte=MOST_PERCENT,
                ),
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("products:design-detail", args=[self.pk])

    @property
    def size(self) -> Size | None:
        """How long and wide a sheet of it usually is, None when nobody said so."""
        return Size(self.length_um, self.width_um) if self.length_um else None

    @property
    def pass_limit(self) -> PassLimit | None:
        """How often melted material may be that goes into it, None for no limit."""
        if self.passes_from is None:
            return None
        return PassLimit(self.passes_from, self.passes_most_percent)
