"""Visits: an open day or a class, where each person makes one piece; masses are settled at the end."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models import Lot
from inventory.models.codes import CodeField
from products.models import Design, Part
from workshop.models.machines import Machine
from workshop.models.runs import Run

USER = settings.AUTH_USER_MODEL


class VisitQuerySet(models.QuerySet):
    """Filters of visits."""

    def open(self):
        """Visits that still go on."""
        return self.filter(ended_at__isnull=True)


class Visit(models.Model):
    """One open day or class on one machine with one design; nobody's name is kept in it."""

    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="+")
    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="visits")
    run = models.OneToOneField(
        Run, null=True, blank=True, on_delete=models.PROTECT, related_name="visit"
    )
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        USER, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    abandon_reason = models.CharField(max_length=300, blank=True)

    objects = VisitQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                name="visit_one_open_per_machine",
                fields=["machine"],
                condition=Q(ended_at__isnull=True),
            ),
            models.CheckConstraint(
                name="visit_ends_settled_or_abandoned",
                condition=Q(
                    ended_at__isnull=True,
                    ended_by__isnull=True,
                    run__isnull=True,
                    abandon_reason="",
                )
                | Q(
                    ended_at__isnull=False,
                    ended_by__isnull=False,
                    run__isnull=False,
                    abandon_reason="",
                )
                | (
                    Q(ended_at__isnull=False, ended_by__isnull=False, run__isnull=True)
                    & ~Q(abandon_reason="")
                ),
            ),
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("workshop:visit-detail", args=[self.pk])

    @property
    def number(self) -> str:
        """Its number as people say it."""
        return f"V-{self.pk:04d}"

    @property
    def state(self) -> str:
        """Open, closed (its masses are settled) or abandoned."""
        if self.abandon_reason:
            return "abandoned"
        return "closed" if self.ended_at else "open"

    @property
    def state_label(self):
        """Its state in words."""
        words = {"open": _("open"), "closed": _("settled"), "abandoned": _("abandoned")}
        return words[self.state]


class PieceQuerySet(models.QuerySet):
    """Filters of pieces."""

    def running(self):
        """Pieces that were started and neither ended nor taken back."""
        return self.filter(ended_at__isnull=True, undone_at__isnull=True)

    def made(self):
        """Pieces that were ended."""
        return self.filter(ended_at__isnull=False)

    def unsettled(self):
        """Pieces of open visits: what they took is in no posting yet."""
        return self.filter(undone_at__isnull=True, visit__ended_at__isnull=True)


class Piece(models.Model):
    """What one person makes; its code stands on the label before the masses, and so the part, are known."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="pieces")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    code = CodeField()
    nominal_mg = models.PositiveBigIntegerField()  # mass of the design when it was started
    found_clean = models.BooleanField()  # whether the machine had no last polymer at the start
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)
    part = models.OneToOneField(
        Part, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    objects = PieceQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                name="piece_one_running_per_visit",
                fields=["visit"],
                condition=Q(ended_at__isnull=True, undone_at__isnull=True),
            ),
            models.CheckConstraint(
                name="piece_undone_only_while_running",
                condition=Q(ended_at__isnull=True) | Q(undone_at__isnull=True),
            ),
            models.CheckConstraint(
                name="piece_ends_before_it_is_a_part",
                condition=Q(part__isnull=True) | Q(ended_at__isnull=False),
            ),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("workshop:piece-detail", args=[self.visit_id, self.code])
