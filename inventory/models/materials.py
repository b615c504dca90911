"""What plastic is: polymers, the blends a lead allows, colours, and the fixed word lists."""

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _


class Form(models.TextChoices):
    """What the plastic looks like in the hand, coarsest first."""

    WHOLE = "whole", _("whole items")
    PART = "part", _("part")
    SHEET = "sheet", _("sheet")
    PROFILE = "profile", _("profile")
    PURGING = "purging", _("purging")
    OFFCUT = "offcut", _("offcut")
    FLAKE = "flake", _("flake")
    PELLET = "pellet", _("pellet")
    DUST = "dust", _("dust")


class OriginClass(models.TextChoices):
    """Where plastic counts as coming from, in the sense of ISO 14021."""

    POST_CONSUMER = "post-consumer", _("post-consumer")
    PRE_CONSUMER = "pre-consumer", _("pre-consumer")
    VIRGIN = "virgin", _("virgin")
    UNKNOWN = "unknown", _("unknown")
    ADDITIVE = "additive", _("additive")


class Polymer(models.Model):
    """A polymer as ISO 1043-1 writes it, or a blend of such polymers."""

    symbol = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    resin_code = models.PositiveSmallIntegerField(null=True, blank=True)
    resin_text = models.CharField(max_length=20, blank=True)
    packaging_code = models.PositiveSmallIntegerField(null=True, blank=True)
    packaging_text = models.CharField(max_length=20, blank=True)
    density_low = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    density_typical = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    density_high = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    transition = models.CharField(max_length=120, blank=True)
    is_rejected = models.BooleanField(default=False)
    reject_reason = models.CharField(max_length=200, blank=True)
    hazard = models.CharField(max_length=300, blank=True)
    # By operation and quantity, such as "inject-melt": low, high and the key of their source.
    windows = models.JSONField(default=dict, blank=True)
    # By name, such as "mould-shrinkage": low, typical, high and the keys of their sources.
    properties = models.JSONField(default=dict, blank=True)
    # Whether it needs drying, and by name: low, high and the keys of their sources.
    drying = models.JSONField(default=dict, blank=True)
    fume_above_c = models.PositiveSmallIntegerField(null=True, blank=True)
    # In thermal analysis: low, high and the key of the source; no limit to work by.
    decomposes_c = models.JSONField(default=list, blank=True)
    sources = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["symbol"]
        constraints = [
            models.CheckConstraint(
                name="polymer_resin_code_is_1_to_7",
                condition=Q(resin_code__isnull=True) | Q(resin_code__range=(1, 7)),
            ),
            models.CheckConstraint(
                name="polymer_densities_in_order",
                condition=Q(
                    density_low__isnull=True,
                    density_typical__isnull=True,
                    density_high__isnull=True,
                )
                | Q(
                    density_low__isnull=False,
                    density_typical__isnull=False,
                    density_high__isnull=False,
                    density_low__lte=F("density_typical"),
                    density_typical__lte=F("density_high"),
                    density_low__gt=0,
                ),
            ),
        ]

    def __str__(self):
        return self.symbol

    def get_absolute_url(self):
        return reverse("inventory:polymer-detail", args=[self.symbol])

    @property
    def mark(self) -> str:
        """The text moulded on a part, as ISO 11469 writes it."""
        return f">{self.symbol}<"


class Spelling(models.Model):
    """A trade spelling that is accepted on input and corrected."""

    text = models.CharField(max_length=40, unique=True)
    polymer = models.ForeignKey(Polymer, on_delete=models.CASCADE, related_name="spellings")

    def __str__(self):
        return self.text


class Blend(models.Model):
    """A mixture of two polymers that the lead has switched on, with the polymer it makes."""

    result = models.OneToOneField(Polymer, on_delete=models.PROTECT, related_name="blend")
    main = models.ForeignKey(Polymer, on_delete=models.PROTECT, related_name="+")
    added = models.ForeignKey(Polymer, on_delete=models.PROTECT, related_name="+")
    most_added_permille = models.PositiveSmallIntegerField(null=True, blank=True)
    is_on = models.BooleanField(default=True)
    reason = models.CharField(max_length=300)
    switched_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    switched_at = models.DateTimeField()

    class Meta:
        ordering = ["result__symbol"]
        constraints = [
            models.UniqueConstraint(name="blend_pair_once", fields=["main", "added"]),
            models.CheckConstraint(name="blend_of_two", condition=~Q(main=F("added"))),
            models.CheckConstraint(
                name="blend_share_below_all",
                condition=Q(most_added_permille__isnull=True)
                | Q(most_added_permille__range=(1, 999)),
            ),
        ]

    def __str__(self):
        return self.result.symbol


class Colour(models.Model):
    """A colour name with its sRGB value; one of them is "mixed"."""

    name = models.CharField(max_length=40, unique=True)
    srgb = models.CharField(
        max_length=7, blank=True, validators=[RegexValidator(r"^#[0-9a-f]{6}$")]
    )
    is_mixed = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="colour_has_srgb_unless_mixed",
                condition=Q(is_mixed=True) | Q(srgb__startswith="#"),
            ),
            models.UniqueConstraint(
                name="colour_mixed_once", fields=["is_mixed"], condition=Q(is_mixed=True)
            ),
        ]

    def __str__(self):
        return self.name
