"""What money is counted in, and what a delivery cost; append-only, the newest row that holds counts."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.deliveries import Delivery


class Currency(models.Model):
    """From which day on prices are in a currency; amounts of before stay in theirs."""

    is_append_only = True

    code = models.CharField(max_length=3)
    holds_from = models.DateField()
    note = models.CharField(max_length=300, blank=True)
    happened_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-holds_from", "-id"]
        verbose_name_plural = "currencies"
        constraints = [models.CheckConstraint(name="currency_has_a_code", condition=~Q(code=""))]

    def __str__(self):
        return self.code


class Price(models.Model):
    """What a kilogram of a delivery cost, as far as somebody knew; without an amount nobody does."""

    is_append_only = True

    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, related_name="prices")
    per_kg = models.DecimalField(max_digits=14, decimal_places=4, null=True, blank=True)
    currency = models.CharField(max_length=3, blank=True)
    note = models.CharField(max_length=300, blank=True)
    happened_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(name="price_newest", fields=["delivery", "-id"])]
        constraints = [
            models.CheckConstraint(
                name="price_not_below_zero", condition=Q(per_kg__isnull=True) | Q(per_kg__gte=0)
            ),
            models.CheckConstraint(
                name="price_in_a_currency",
                condition=Q(per_kg__isnull=True, currency="")
                | (Q(per_kg__isnull=False) & ~Q(currency="")),
            ),
        ]

    def __str__(self):
        return f"{self.delivery}: {self.per_kg} {self.currency}"
