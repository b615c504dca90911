"""Runs, their charges, and what was loaded and yielded."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models import Bin, Lot, Posting
from inventory.models.codes import CodeField
from products.models import Design, Operation, Part
from workshop.models.machines import Machine, Tooling


class RunQuerySet(models.QuerySet):
    """Filters of runs."""

    def open(self):
        """Runs neither closed nor abandoned."""
        return self.filter(closed_at__isnull=True)


class Run(models.Model):
    """One job on one machine."""

    code = CodeField()
    uuid = models.UUIDField(unique=True)
    operation = models.CharField(max_length=10, choices=Operation)
    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="runs")
    tooling = models.ForeignKey(
        Tooling, null=True, blank=True, on_delete=models.PROTECT, related_name="runs"
    )
    design = models.ForeignKey(
        Design, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    operator = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    planned_pieces = models.PositiveIntegerField(null=True, blank=True)
    settings_note = models.CharField(max_length=300, blank=True)
    note = models.TextField(blank=True)
    cutting_list = models.TextField(blank=True)  # the address of the cut plan or nested plan
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    is_abandoned = models.BooleanField(default=False)
    abandon_reason = models.CharField(max_length=300, blank=True)

    objects = RunQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(name="run_opened", fields=["opened_at"]),
            models.Index(name="run_closed", fields=["closed_at"]),
        ]
        constraints = [
            models.CheckConstraint(
                name="run_abandoned_with_reason",
                condition=Q(is_abandoned=False)
                | (Q(closed_at__isnull=False) & ~Q(abandon_reason="")),
            )
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("workshop:run-detail", args=[self.code])

    @property
    def number(self) -> str:
        """Its shop number, such as R-0042."""
        return f"R-{self.pk:04d}"

    @property
    def reference(self) -> str:
        """The text its postings keep."""
        return f"run {self.number}"

    @property
    def state(self) -> str:
        """Open, closed or abandoned."""
        if self.is_abandoned:
            return "abandoned"
        return "closed" if self.closed_at else "open"

    @property
    def state_label(self):
        """Its state in words."""
        return {"open": _("open"), "closed": _("closed"), "abandoned": _("abandoned")}[self.state]


class Charge(models.Model):
    """What was put into a machine together; its lot takes loads until it yields."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="charges")
    number = models.PositiveSmallIntegerField()
    lot = models.OneToOneField(Lot, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(name="charge_number_once_per_run", fields=["run", "number"])
        ]

    def __str__(self):
        return f"{self.run} / {self.number}"


class Load(models.Model):
    """One loading of a charge from a bin, a part, a delivery or the charge before."""

    charge = models.ForeignKey(Charge, on_delete=models.PROTECT, related_name="loads")
    posting = models.OneToOneField(Posting, on_delete=models.PROTECT, related_name="+")
    source = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    part = models.ForeignKey(
        Part, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    mass_mg = models.BigIntegerField()
    pieces = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["id"]
        constraints = [models.CheckConstraint(name="load_has_mass", condition=Q(mass_mg__gt=0))]

    def __str__(self):
        return f"{self.charge}: {self.source}"


class Yield(models.Model):
    """Something a charge became: parts, kept pieces, material, rejects, offcuts, dust and so on."""

    class Kind(models.TextChoices):
        PART = "part", _("parts")
        KEPT = "kept", _("kept pieces")
        MATERIAL = "material", _("material")
        REJECT = "reject", _("rejects")
        OFFCUT = "offcut", _("offcuts")
        DUST = "dust", _("dust")
        PURGING = "purging", _("purging")
        LEFTOVER = "leftover", _("leftover")

    charge = models.ForeignKey(Charge, on_delete=models.PROTECT, related_name="yields")
    posting = models.OneToOneField(Posting, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=10, choices=Kind)
    mass_mg = models.BigIntegerField()
    pieces = models.PositiveIntegerField(default=0)
    bin = models.ForeignKey(Bin, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(name="yield_has_mass", condition=Q(mass_mg__gt=0)),
            models.CheckConstraint(
                name="yield_parts_have_pieces",
                condition=~Q(kind__in=["part", "kept"]) | Q(pieces__gt=0),
            ),
        ]

    def __str__(self):
        return f"{self.charge}: {self.kind}"

    @property
    def is_coded(self) -> bool:
        """Whether it made things with codes of their own: parts, or pieces kept."""
        return self.kind in CODED


CODED = frozenset({Yield.Kind.PART, Yield.Kind.KEPT})
