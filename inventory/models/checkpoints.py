"""Checkpoints of the book: a Merkle tree over its entries, and its root at a moment; append-only by trigger.

An entry is a posting or a change; one act may make one of each under its UUID. Entries get their place
in the tree when a checkpoint is made, in the order in which the book then knows them:
the primary keys will not do, since two acts at once may be written in either order.
"""

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _


class Leaf(models.Model):
    """The place of an entry in the tree, from 0, and its hash (SHA-256, hex)."""

    is_append_only = True

    class Kind(models.TextChoices):
        POSTING = "posting", _("posting")
        CHANGE = "change", _("change")

    number = models.BigIntegerField(unique=True)
    kind = models.CharField(max_length=7, choices=Kind)
    uuid = models.UUIDField()
    hash = models.CharField(max_length=64)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(name="leaf_once_for_each_entry", fields=["uuid", "kind"])
        ]

    def __str__(self):
        return f"{self.number} {self.uuid}"


class Branch(models.Model):
    """The root over a full branch of leaves, so that a proof need not read them all."""

    is_append_only = True

    number = models.BigIntegerField(unique=True)
    root = models.CharField(max_length=64)

    class Meta:
        ordering = ["number"]

    def __str__(self):
        return f"{self.number} {self.root}"


class Checkpoint(models.Model):
    """How many entries the book had at a moment, and the root over them (SHA-256, hex)."""

    is_append_only = True

    uuid = models.UUIDField(unique=True)
    size = models.BigIntegerField(unique=True)
    root = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )  # None: made by the clock
    last_posting = (
        models.BigIntegerField()
    )  # highest primary keys in the tree, where the next search starts
    last_change = models.BigIntegerField()

    class Meta:
        ordering = ["-size"]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("inventory:checkpoint-detail", args=[self.pk])

    @property
    def number(self) -> str:
        """What people call it."""
        return f"C-{self.pk:04d}"
