"""What an hour, a kilowatt-hour, machines and tooling cost: set, and listed."""

from decimal import Decimal

from django.utils.translation import gettext as _
from django_filters.rest_framework import ChoiceFilter, FilterSet
from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, ChangeSerializer, change_of
from inventory.api.fields import DayField, TextField
from inventory.api.reads import ListView
from inventory.calculations.currencies import price_text
from workshop.actions.rates import set_rate
from workshop.api.machines import MachineField, ToolingField
from workshop.models import Rate
from workshop.queries.rates import rate_list


def plain_text(amount: Decimal) -> str:
    """Return an exact number as short as it is."""
    return f"{amount.normalize():f}"


class AmountField(serializers.DecimalField):
    """An exact amount, as text or a number."""

    def __init__(self, **options):
        super().__init__(**{"max_digits": 14, "decimal_places": 4, "allow_null": True} | options)


class RateSerializer(serializers.Serializer):
    """A rate as it was set; without an amount nobody knows it from that day on."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    machine = serializers.CharField(source="machine.name", allow_null=True, default=None)
    tooling = serializers.CharField(source="tooling.name", allow_null=True, default=None)
    amount = serializers.SerializerMethodField(
        help_text="As text: money with the decimals of its currency, null when nobody knows it."
    )
    unit = serializers.CharField()
    currency = serializers.CharField()
    holds_from = serializers.DateField()
    note = serializers.CharField()
    happened_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")

    def get_amount(self, row) -> str | None:
        if row.amount is None:
            return None
        return price_text(row.amount, row.currency) if row.currency else plain_text(row.amount)


class RateAnswer(RateSerializer):
    """A rate as it was set, and the act that set it."""

    change = ChangeSerializer()


class RateBody(ActBody):
    """A rate and its first day; of a machine or of tooling where it is one of theirs."""

    name = serializers.ChoiceField(choices=Rate.Name.choices)
    amount = AmountField()
    holds_from = DayField()
    machine = MachineField(required=False, allow_null=True)
    tooling = ToolingField(required=False, allow_null=True)
    reason = TextField(required=False, allow_blank=True, max_length=300)

    def validate(self, attrs):
        if attrs.get("machine") and attrs.get("tooling"):
            raise serializers.ValidationError({"tooling": [_("Name a machine or tooling.")]})
        return attrs


class RateFilters(FilterSet):
    """Narrows rates."""

    name = ChoiceFilter(choices=Rate.Name)


class Rates(ActView, ListView):
    """Every rate that was set, newest first; POST sets one."""

    act = "rate.set"
    queryset = rate_list()
    filterset_class = RateFilters
    serializer_class = RateSerializer
    body_class = RateBody
    answer_class = RateAnswer

    def perform(self, sent, act):
        thing = sent.get("machine") or sent.get("tooling")
        given = {name: sent[name] for name in ("name", "amount", "holds_from")}
        row = set_rate(thing=thing, act=act, **given)
        row.change = change_of(act)
        return row
