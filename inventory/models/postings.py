"""The ledger: postings made of transfers, append-only by trigger."""

from django.conf import settings
from django.db import models
from django.db.models import F, Func, Q
from django.db.models.lookups import IsNull
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.models.lots import Lot
from inventory.models.scales import Basis, Scale


class Unsought(Func):
    """A column by which SQLite is not to look rows up: what it counts of an index misleads it here."""

    template = "%(expressions)s"
    arity = 1

    def as_sqlite(self, compiler, connection, **options):
        return self.as_sql(compiler, connection, template="+%(expressions)s", **options)


def no_reversal() -> IsNull:
    """Return the condition that a posting or a transfer reverses none.

    Nearly all reverse none, and the index of what they reverse finds them all one by one. SQLite takes
    it even so: of equal entries in an index it knows the mean number, which is few.
    """
    return IsNull(Unsought(F("reverses")), True)  # noqa: FBT003 (as the lookup has it)


class StandingQuerySet(models.QuerySet):
    """Filters of postings and of transfers."""

    def forth(self):
        """Those that are no reversals."""
        return self.filter(no_reversal())

    def standing(self):
        """Those that count: neither reversed nor reversals."""
        return self.forth().filter(reversed_by__isnull=True)


class Posting(models.Model):
    """One thing that happened, made of transfers, all or nothing."""

    is_append_only = True

    class Kind(models.TextChoices):
        RECEIVE = "receive", _("received")
        MOVE = "move", _("moved")
        LOAD = "load", _("loaded")
        YIELD = "yield", _("yielded")
        CLOSE = "close", _("closed")
        DISPOSE = "dispose", _("disposed")
        EMPTY = "empty", _("emptied")
        COUNT = "count", _("counted")
        DIVIDE = "divide", _("divided")
        REVERSE = "reverse", _("reversed")
        CORRECT = "correct", _("corrected")

    uuid = models.UUIDField(unique=True)
    kind = models.CharField(max_length=10, choices=Kind)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reference = models.CharField(max_length=60, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    request = models.JSONField()
    fingerprint = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)
    reverses = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by"
    )
    replaces = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by"
    )

    objects = StandingQuerySet.as_manager()
    written_transfers: tuple["Transfer", ...] = ()  # of a posting that was written a moment ago

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(name="posting_happened", fields=["happened_at"]),
            models.Index(name="posting_reference", fields=["reference"]),
            models.Index(  # the whole one counts all that replace nothing as alike
                name="posting_replaces", fields=["replaces"], condition=Q(replaces__isnull=False)
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="posting_reversal_has_reason",
                condition=Q(reverses__isnull=True) | ~Q(reason=""),
            ),
            models.CheckConstraint(
                name="posting_reverses_another",
                condition=Q(reverses__isnull=True) | ~Q(reverses=F("id")),
            ),
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("inventory:posting-detail", args=[self.uuid])

    @property
    def known_transfers(self):
        """Its transfers in their order, not read again by whoever has just written them."""
        return self.written_transfers or self.transfers.all()

    @property
    def number(self) -> str:
        """Its place in the book, as people say it."""
        return self.number_of(self.pk)

    @staticmethod
    def number_of(key: int) -> str:
        """Return what people call the posting of a key; lists of many need no posting for it."""
        return f"P-{key:05d}"


class Transfer(models.Model):
    """Mass moving from a lot to a lot, or in from or out to the outside."""

    is_append_only = True

    class Role(models.TextChoices):
        RECEIVED = "received", _("received")
        MOVED = "moved", _("moved")
        REMAINDER = "remainder", _("what was left in the bin")
        LOADED = "loaded", _("loaded")
        CARRIED = "carried", _("carried into the next charge")
        PART = "part", _("part")
        PIECES = "pieces", _("pieces of a bag")
        MATERIAL = "material", _("material")
        REJECT = "reject", _("reject")
        OFFCUT = "offcut", _("offcut")
        DUST = "dust", _("dust")
        PURGING = "purging", _("purging")
        LEFTOVER = "leftover", _("leftover")
        DISPOSED = "disposed", _("disposed")
        LOSS = "loss", _("loss")
        DIFFERENCE = "difference", _("weighing difference")
        COUNT = "count", _("count difference")
        SHIPPED = "shipped", _("shipped")

    posting = models.ForeignKey(Posting, on_delete=models.PROTECT, related_name="transfers")
    source = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="given", db_index=False
    )
    target = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="taken", db_index=False
    )
    mass_mg = models.BigIntegerField()
    role = models.CharField(max_length=10, choices=Role)
    melted = models.BooleanField(default=False)
    basis = models.CharField(max_length=10, choices=Basis, default=Basis.TYPED)
    scale = models.ForeignKey(
        Scale, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    uncertainty_ug = models.BigIntegerField(default=0)
    reverses = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by"
    )

    objects = StandingQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        indexes = [
            # All that a walk back and a walk forward read, so that neither looks into the table.
            models.Index(
                name="transfer_back",
                fields=["target", "source", "reverses", "mass_mg", "melted", "id"],
            ),
            models.Index(
                name="transfer_forward",
                fields=["source", "target", "reverses", "mass_mg", "role", "id"],
            ),
        ]
        constraints = [
            models.CheckConstraint(name="transfer_has_mass", condition=Q(mass_mg__gt=0)),
            models.CheckConstraint(
                name="transfer_has_an_end",
                condition=Q(source__isnull=False) | Q(target__isnull=False),
            ),
            models.CheckConstraint(
                name="transfer_between_two_lots",
                condition=Q(source__isnull=True) | Q(target__isnull=True) | ~Q(source=F("target")),
            ),
            models.CheckConstraint(
                name="transfer_uncertainty_not_negative", condition=Q(uncertainty_ug__gte=0)
            ),
            models.CheckConstraint(
                name="transfer_weighed_names_scale",
                condition=Q(basis="weighed", scale__isnull=False)
                | (~Q(basis="weighed") & Q(scale__isnull=True)),
            ),
        ]

    def __str__(self):
        return f"{self.source or '-'} > {self.target or '-'} {self.mass_mg} mg"
