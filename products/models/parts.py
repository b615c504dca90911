"""Made things, or bags of the same things, each with a lot in the ledger."""

from django.conf import settings
from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models import Lot, Posting
from products.calculations.sheet_sizes import Size
from products.models.designs import Design, size_whole


class PartQuerySet(models.QuerySet):
    """Filters of parts."""

    def made(self):
        """Parts whose making was not reversed."""
        return self.filter(lot__in_mg__gt=0)

    def here(self):
        """Parts that hold mass, are not handed over and are in no other part."""
        away = Handover.objects.filter(part=OuterRef("pk"), back_at__isnull=True)
        fixed = Fixing.objects.open().filter(part=OuterRef("pk"))
        return self.filter(lot__out_mg__lt=F("lot__in_mg")).exclude(Exists(away) | Exists(fixed))

    def in_use(self):
        """Parts handed over and not back."""
        away = Handover.objects.filter(part=OuterRef("pk"), back_at__isnull=True)
        return self.made().filter(Exists(away))

    def used_up(self):
        """Parts that have given all they were made of."""
        return self.made().filter(lot__out_mg=F("lot__in_mg"))


class Part(models.Model):
    """A made thing, or a bag of the same things, with a code; it shares the code of its lot.

    What a `bag` gave as a part of its own was made where and when the bag was.
    """

    code = models.CharField(max_length=12, unique=True, editable=False)
    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="parts")
    lot = models.OneToOneField(Lot, on_delete=models.PROTECT, related_name="+")
    made_in = models.ForeignKey(Posting, on_delete=models.PROTECT, related_name="+")
    pieces = models.PositiveIntegerField(default=1)
    bag = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="given"
    )
    made_at = models.DateTimeField()
    # Its own size, where it is not the usual one of its design: a piece kept out of a cut run.
    length_um = models.PositiveIntegerField(null=True, blank=True)
    width_um = models.PositiveIntegerField(null=True, blank=True)

    objects = PartQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(name="part_made", fields=["made_at"])]
        constraints = [
            models.CheckConstraint(name="part_has_pieces", condition=Q(pieces__gt=0)),
            models.CheckConstraint(name="part_size_whole", condition=size_whole()),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("products:part-detail", args=[self.code])

    @property
    def own_size(self) -> Size | None:
        """The size of a kept piece, None for a part as its design says."""
        return Size(self.length_um, self.width_um) if self.length_um else None

    @property
    def size(self) -> Size | None:
        """How long and wide it is: its own size, else the usual one of its design."""
        return self.own_size or self.design.size

    @property
    def pieces_left(self) -> int:
        """Pieces not used yet, by the mass that is left: each piece of a bag weighs the same.

        While any mass is left there is a piece of it, so that it can still be loaded.
        """
        if not self.lot.held_mg:
            return 0
        return max(1, round(self.pieces * self.lot.held_mg / self.lot.in_mg))

    @property
    def run_number(self) -> str:
        """The run it was made in, as the posting names it."""
        return self.made_in.reference.removeprefix("run ")


class Handover(models.Model):
    """A part going into use and, maybe, coming back; no mass moves."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="handovers")
    out_at = models.DateTimeField()
    out_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    to = models.CharField(max_length=120, blank=True)
    back_at = models.DateTimeField(null=True, blank=True)
    back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    state_on_return = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                name="handover_one_open_per_part",
                fields=["part"],
                condition=Q(back_at__isnull=True),
            ),
            models.CheckConstraint(
                name="handover_back_by_someone",
                condition=Q(back_at__isnull=True, back_by__isnull=True)
                | Q(back_at__isnull=False, back_by__isnull=False),
            ),
        ]

    def __str__(self):
        return str(self.part)

    @property
    def label(self) -> str:
        """In use or returned, in words."""
        return _("returned") if self.back_at else _("in use")


class FixingQuerySet(models.QuerySet):
    """Filters of fixings."""

    def open(self):
        """Fixings that hold now: their part was not taken out."""
        return self.filter(taken_out_at__isnull=True)


class Fixing(models.Model):
    """A part put into another part, the holder, at a line of its parts list; no mass moves.

    Its row stays when the part is taken out. `noted_at` is when the book last learned of it.
    """

    holder = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="fixings")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="places")
    line = models.PositiveSmallIntegerField()
    put_in_at = models.DateTimeField()
    put_in_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    taken_out_at = models.DateTimeField(null=True, blank=True)
    taken_out_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    state_when_taken_out = models.CharField(max_length=200, blank=True)
    noted_at = models.DateTimeField()

    objects = FixingQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                name="fixing_one_open_per_part",
                fields=["part"],
                condition=Q(taken_out_at__isnull=True),
            ),
            models.CheckConstraint(name="fixing_not_in_itself", condition=~Q(part=F("holder"))),
            models.CheckConstraint(name="fixing_has_line", condition=Q(line__gt=0)),
            models.CheckConstraint(
                name="fixing_taken_out_by_someone",
                condition=Q(taken_out_at__isnull=True, taken_out_by__isnull=True)
                | Q(taken_out_at__isnull=False, taken_out_by__isnull=False),
            ),
        ]

    def __str__(self):
        return f"{self.part} > {self.holder}"
