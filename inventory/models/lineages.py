"""What another workshop's document told of a delivery; append-only by trigger.

The mass came in by weighing or typing, as of every delivery. The document brought only where the lot
came from: origins with their shares, and how often it was melted. Shares are whole numbers
over whole numbers and sum to exactly 1, and the document is kept, so that anybody can reckon them again.
"""

from django.db import models
from django.db.models import F, Q

from inventory.models.lots import Lot
from inventory.models.materials import OriginClass, Polymer


class Lineage(models.Model):
    """A document that came with a delivery, and the lot of it that the delivery is."""

    is_append_only = True

    lot = models.OneToOneField(Lot, on_delete=models.PROTECT, related_name="lineage")
    foreign_id = models.CharField(max_length=300, db_index=True)
    workshop = models.CharField(max_length=120, blank=True)
    document = models.TextField()
    digest = models.CharField(max_length=64)
    lots_behind = models.PositiveIntegerField()

    class Meta:
        ordering = ["-id"]

    def __str__(self):
        return self.foreign_id


class ForeignOrigin(models.Model):
    """Where a share of a delivery began, in another workshop or before it."""

    is_append_only = True

    lineage = models.ForeignKey(Lineage, on_delete=models.PROTECT, related_name="origins")
    position = models.PositiveIntegerField()
    foreign_id = models.CharField(max_length=300)
    origin_class = models.CharField(max_length=15, choices=OriginClass)
    polymer = models.ForeignKey(
        Polymer, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    colour = models.CharField(max_length=120)
    srgb = models.CharField(max_length=7, blank=True)
    source = models.CharField(max_length=120, blank=True)
    numerator = models.BigIntegerField()
    denominator = models.BigIntegerField()

    class Meta:
        ordering = ["lineage", "position"]
        constraints = [
            models.UniqueConstraint(
                name="foreignorigin_position_once", fields=["lineage", "position"]
            ),
            models.CheckConstraint(
                name="foreignorigin_share_is_a_share",
                condition=Q(numerator__gt=0, numerator__lte=F("denominator")),
            ),
        ]

    def __str__(self):
        return self.foreign_id

    @property
    def share(self) -> float:
        """Its share of the delivery, 0 to 1."""
        return self.numerator / self.denominator

    @property
    def class_label(self):
        """Its origin class in words."""
        return self.get_origin_class_display()


class ForeignPasses(models.Model):
    """Which share of a delivery had been melted how often before it came."""

    is_append_only = True

    lineage = models.ForeignKey(Lineage, on_delete=models.PROTECT, related_name="passes")
    count = models.PositiveIntegerField()
    numerator = models.BigIntegerField()
    denominator = models.BigIntegerField()

    class Meta:
        ordering = ["lineage", "count"]
        verbose_name_plural = "foreign passes"
        constraints = [
            models.UniqueConstraint(name="foreignpasses_count_once", fields=["lineage", "count"]),
            models.CheckConstraint(
                name="foreignpasses_share_is_a_share",
                condition=Q(numerator__gt=0, numerator__lte=F("denominator")),
            ),
        ]

    def __str__(self):
        return f"{self.lineage}: {self.count}"


class ForeignEvent(models.Model):
    """An event that a document told under its id; another content under it is refused ever after."""

    is_append_only = True

    lineage = models.ForeignKey(Lineage, on_delete=models.PROTECT, related_name="events")
    event_id = models.CharField(max_length=300)
    is_declaration = models.BooleanField(default=False)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                name="foreignevent_told_once", fields=["event_id", "is_declaration"]
            )
        ]

    def __str__(self):
        return self.event_id
