"""Labels: the grids they are printed on, each label that was printed, and the address they carry."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models.codes import CodeField
from products.calculations.label_geometry import Calibration, Grid

MM = {"max_digits": 7, "decimal_places": 2}


class LabelGrid(models.Model):
    """A sheet or roll by name, in mm, with the calibration of the printer it is used on."""

    name = models.CharField(max_length=80, unique=True)
    page_width_mm = models.DecimalField(**MM)
    page_height_mm = models.DecimalField(**MM)
    columns = models.PositiveSmallIntegerField(default=1)
    rows = models.PositiveSmallIntegerField(default=1)
    margin_left_mm = models.DecimalField(default=0, **MM)
    margin_top_mm = models.DecimalField(default=0, **MM)
    gap_x_mm = models.DecimalField(default=0, **MM)
    gap_y_mm = models.DecimalField(default=0, **MM)
    label_width_mm = models.DecimalField(**MM)
    label_height_mm = models.DecimalField(**MM)
    offset_x_mm = models.DecimalField(default=0, **MM)
    offset_y_mm = models.DecimalField(default=0, **MM)
    scale_x = models.DecimalField(default=1, max_digits=6, decimal_places=5)
    scale_y = models.DecimalField(default=1, max_digits=6, decimal_places=5)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="labelgrid_has_labels", condition=Q(columns__gt=0, rows__gt=0)
            ),
            models.CheckConstraint(
                name="labelgrid_labels_have_size",
                condition=Q(label_width_mm__gt=0, label_height_mm__gt=0),
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def geometry(self) -> Grid:
        """Where its labels lie, in mm."""
        figures = [name for name in Grid.__dataclass_fields__ if name.endswith("_mm")]
        sizes = {name: float(getattr(self, name)) for name in figures}
        return Grid(name=self.name, columns=self.columns, rows=self.rows, **sizes)

    @property
    def calibration(self) -> Calibration:
        """What its printer needs added to print true."""
        names = Calibration.__dataclass_fields__
        return Calibration(**{name: float(getattr(self, name)) for name in names})

    @property
    def capacity(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows


class Label(models.Model):
    """A code stuck on a thing; a replaced label has another code and the old one is void."""

    class Thing(models.TextChoices):
        BIN = "bin", _("bin")
        LOT = "lot", _("lot")
        DELIVERY = "delivery", _("delivery")
        PART = "part", _("part")

    code = CodeField()
    thing = models.CharField(max_length=10, choices=Thing)
    thing_code = models.CharField(max_length=12)
    made_at = models.DateTimeField()
    voided_at = models.DateTimeField(null=True, blank=True)
    voided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    void_reason = models.CharField(max_length=300, blank=True)
    replaced_by = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaces"
    )

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(name="label_thing", fields=["thing", "thing_code"])]
        constraints = [
            models.CheckConstraint(
                name="label_void_with_reason",
                condition=Q(voided_at__isnull=True, void_reason="")
                | (Q(voided_at__isnull=False) & ~Q(void_reason="")),
            ),
            models.CheckConstraint(
                name="label_replaced_by_another",
                condition=Q(replaced_by__isnull=True) | ~Q(replaced_by=F("id")),
            ),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("products:label-detail", args=[self.code])


class Printing(models.Model):
    """One print of labels: who, when, on which grid; a reprint says why."""

    uuid = models.UUIDField(unique=True)
    printed_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    grid = models.ForeignKey(
        LabelGrid, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    grid_name = models.CharField(max_length=80)
    start = models.PositiveSmallIntegerField(default=1)
    reason = models.CharField(max_length=300, blank=True)
    labels = models.ManyToManyField(Label, related_name="printings")

    class Meta:
        ordering = ["-id"]

    def __str__(self):
        return f"{self.grid_name}, {self.printed_at:%Y-%m-%d}"

    def get_absolute_url(self):
        return reverse("products:printing-detail", args=[self.uuid])


class PrintedAddress(models.Model):
    """The address that printed codes carry; frozen at the first print, the newest row counts."""

    site_url = models.URLField(max_length=200)
    frozen_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-id"]
        verbose_name_plural = "printed addresses"

    def __str__(self):
        return self.site_url
