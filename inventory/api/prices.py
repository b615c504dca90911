"""Money: in which currency prices are from which day, and what deliveries cost."""

from decimal import Decimal

from rest_framework import serializers

from inventory.actions.prices import set_currency, set_price
from inventory.api.acts import ActBody, ActView, ChangeSerializer, change_of
from inventory.api.fields import DayField, TextField
from inventory.api.filters import KnownParameters
from inventory.api.names import by_code, found
from inventory.api.reads import ListView
from inventory.calculations.currencies import price_text
from inventory.models import Delivery, Price
from inventory.queries.prices import currency_list, prices_of


class CurrencySerializer(serializers.Serializer):
    """From which day prices are in a currency (ISO 4217)."""

    id = serializers.IntegerField()
    code = serializers.CharField()
    holds_from = serializers.DateField()
    note = serializers.CharField()
    happened_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")


class CurrencyAnswer(CurrencySerializer):
    """A currency as it was set, and the act that set it."""

    change = ChangeSerializer()


class CurrencyBody(ActBody):
    """A currency and its first day."""

    code = TextField(min_length=3, max_length=3)
    holds_from = DayField()
    reason = TextField(required=False, allow_blank=True, max_length=300)


class Currencies(ActView, ListView):
    """Every currency that was set, the latest day first; POST sets one, and converts nothing."""

    act = "rate.set"
    queryset = currency_list()
    serializer_class = CurrencySerializer
    body_class = CurrencyBody
    answer_class = CurrencyAnswer

    def perform(self, sent, act):
        row = set_currency(code=sent["code"], holds_from=sent["holds_from"], act=act)
        row.change = change_of(act)
        return row


class PerKgField(serializers.DecimalField):
    """A price per kg, exact, as text or a number; 0 when it came for nothing."""

    def __init__(self, **options):
        fixed = {"max_digits": 14, "decimal_places": 4, "min_value": Decimal(0)}
        super().__init__(**fixed | {"allow_null": True} | options)


class PriceSerializer(serializers.Serializer):
    """What a kilogram of a delivery cost; without an amount nobody knows."""

    id = serializers.IntegerField()
    per_kg = serializers.SerializerMethodField(
        help_text="As text, with at least the decimals of its currency; null when nobody knows it."
    )
    currency = serializers.CharField()
    note = serializers.CharField()
    happened_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")

    def get_per_kg(self, row) -> str | None:
        return None if row.per_kg is None else price_text(row.per_kg, row.currency)


class PriceAnswer(PriceSerializer):
    """A price as it was set, and the act that set it."""

    delivery = serializers.CharField(source="delivery.code")
    change = ChangeSerializer()


class PriceBody(ActBody):
    """A price per kg; null says that nobody knows it."""

    per_kg = PerKgField()
    reason = TextField(required=False, allow_blank=True, max_length=300)


class Prices(ActView, ListView):
    """Every price of a delivery, newest first; POST sets one."""

    act = "delivery.price"
    queryset = Price.objects.none()
    filter_backends = [KnownParameters]
    serializer_class = PriceSerializer
    body_class = PriceBody
    answer_class = PriceAnswer

    def delivery(self) -> Delivery:
        return found(by_code(Delivery.objects.all(), self.kwargs["code"]))

    def list(self, request, *args, **kwargs):
        self.filter_queryset(self.get_queryset())
        shown = self.paginate_queryset(prices_of(self.delivery()))
        return self.get_paginated_response(self.get_serializer(shown, many=True).data)

    def perform(self, sent, act):
        row = set_price(delivery=self.delivery(), per_kg=sent["per_kg"], act=act)
        row.change = change_of(act)
        return row
