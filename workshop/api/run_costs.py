"""Time, energy and cost of a run."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.api.reads import OneView
from inventory.calculations.currencies import money, rounded
from workshop.api.runs import run_named
from workshop.queries.run_costs import RunAccount, account_of_run, day_of
from workshop.queries.runs import run_list

KWH_DIGITS, SHARE_DIGITS = 3, 6


class StepMinutesSerializer(serializers.Serializer):
    """The time of one step in all."""

    name = serializers.CharField()
    ms = serializers.IntegerField()


class WorkTimeSerializer(serializers.Serializer):
    """Time worked, in ms: by `taps`, or from opening to closing (`opened`); the longest step first."""

    worked_ms = serializers.IntegerField()
    basis = serializers.CharField()
    steps = StepMinutesSerializer(many=True)
    slowest = serializers.CharField()
    other_ms = serializers.IntegerField()
    changeover_ms = serializers.IntegerField()
    changeover_basis = serializers.CharField(help_text="paused, register, or empty.")


@extend_schema_field({"type": "string"})
class NumberText(serializers.Field):
    """An exact number as text with so many decimals, rounded half to even; null when it is not known."""

    def __init__(self, *, digits: int, **options):
        self.digits = digits
        super().__init__(**{"allow_null": True, "read_only": True} | options)

    def to_representation(self, value):
        return f"{rounded(value, self.digits):f}"


class EnergySerializer(serializers.Serializer):
    """Energy, and what it rests on: `meter`, `rated` (an estimate), or empty when it is not known."""

    kwh = NumberText(digits=KWH_DIGITS)
    basis = serializers.CharField()
    is_usual_load = serializers.BooleanField()


class CostLineSerializer(serializers.Serializer):
    """The cost of one kind: null when it is not known, "at least" when some of it is not."""

    kind = serializers.CharField()
    amount = serializers.CharField(allow_null=True)
    is_least = serializers.BooleanField()


class CostSerializer(serializers.Serializer):
    """Money in the minor units of its currency; what is "at least" is rounded down."""

    currency = serializers.CharField(help_text="ISO 4217; empty when none was set.")
    lines = CostLineSerializer(many=True)
    unknown = serializers.ListField(child=serializers.CharField())
    is_least = serializers.BooleanField()
    total = serializers.CharField(allow_null=True)
    per_piece = serializers.CharField(allow_null=True)
    per_kg = serializers.CharField(allow_null=True)
    known_share = NumberText(
        digits=SHARE_DIGITS, help_text="Share of the material whose price is known."
    )
    pieces = serializers.IntegerField()
    good_mg = serializers.IntegerField()


class RunCostSerializer(serializers.Serializer):
    """What a run took, used and cost; so far, while it is open."""

    run = serializers.CharField()
    day = serializers.DateField(help_text="By whose rates it costs: on which it was opened.")
    time = WorkTimeSerializer()
    energy = EnergySerializer()
    kwh_per_kg = NumberText(digits=KWH_DIGITS)
    cost = CostSerializer()


def told(found: RunAccount) -> dict:
    """Return the account of a run as the API tells it."""
    time, steps = found.time, [{"name": name, "ms": ms} for name, ms in found.time.steps]
    more = {"steps": steps, "slowest": time.slowest, "other_ms": time.other_ms}
    return {
        "run": found.run.code,
        "day": day_of(found.run),
        "time": vars(time) | more,
        "energy": found.energy,
        "kwh_per_kg": found.kwh_per_kg,
        "cost": cost_told(found.cost),
    }


def cost_told(cost) -> dict:
    """Return a cost with its amounts in minor units as text."""

    def said(amount, is_least):
        if amount is None or not cost.currency:
            return None
        return f"{money(amount, cost.currency, is_least=is_least):f}"

    lines = [
        {"kind": each.kind, "is_least": each.is_least, "amount": said(each.amount, each.is_least)}
        for each in cost.lines
    ]
    sums = {
        name: said(getattr(cost, name), cost.is_least) if cost.is_known else None
        for name in ("total", "per_piece", "per_kg")
    }
    facts = {name: getattr(cost, name) for name in ("currency", "is_least", "known_share")}
    facts |= {"pieces": cost.pieces, "good_mg": cost.good_mg, "unknown": list(cost.unknown)}
    return facts | sums | {"lines": lines}


class RunCosts(OneView):
    """Time, energy and cost of the run in the address."""

    queryset = run_list()
    serializer_class = RunCostSerializer
    find = staticmethod(run_named)

    def get_object(self):
        return told(account_of_run(super().get_object(), timezone.now()))
