"""Time, energy and cost of a design over time."""

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.api.names import found
from products.api.flows import DAYS, asked
from workshop.forms.cost_trends import CostTrendForm
from workshop.models import Run
from workshop.queries.cost_trends import CostTrend, cost_trend, figure_text, saving_text

DESIGN = OpenApiParameter("design", int, required=True, description="Key of the design.")


class TrendRowSerializer(serializers.Serializer):
    """A figure in one month or year; quartiles are null below four runs."""

    figure = serializers.CharField(help_text="minutes, kwh, cost or offcut.")
    unit = serializers.CharField()
    start = serializers.DateField()
    end = serializers.DateField(help_text="Its last day.")
    runs = serializers.IntegerField()
    low = serializers.CharField(allow_null=True)
    median = serializers.CharField(help_text="Exact, as text; money in the minor units.")
    high = serializers.CharField(allow_null=True)
    least = serializers.IntegerField(help_text="Runs whose cost is only told as at least.")


class SavingSerializer(serializers.Serializer):
    """Money that a year would save; "at least" where a price or rate behind it is not known."""

    amount = serializers.CharField(help_text="In the minor units of the currency.")
    is_least = serializers.BooleanField()


class SavingsSerializer(serializers.Serializer):
    """What a year would save: by one minute a piece, by one percent of offcut."""

    minute = SavingSerializer()
    offcut_used_again = SavingSerializer()
    offcut_lost = SavingSerializer()


class CostTrendSerializer(serializers.Serializer):
    """The figures of the runs of a design that were closed in a period."""

    design = serializers.CharField()
    start = serializers.DateField()
    end = serializers.DateField(help_text="Its last day.")
    runs = serializers.IntegerField()
    currency = serializers.CharField()
    other_currency = serializers.IntegerField(help_text="Runs left out: nothing is converted.")
    is_cut = serializers.BooleanField(help_text="Whether only the newest runs are in it.")
    rows = TrendRowSerializer(many=True)
    savings = SavingsSerializer()


def rows_of(trend: CostTrend) -> list[dict]:
    """Return every figure of every month in plain values."""
    units = {"minutes": "min", "kwh": "kWh/kg", "cost": trend.currency, "offcut": "share"}
    return [
        {"figure": name, "unit": units[name], "start": step.start, "end": step.last}
        | {"runs": row.runs, "least": row.least}
        | {end: figure_text(name, value, trend.currency) for end, value in vars(row.spread).items()}
        for name, rows in trend.rows.items()
        for step, row in rows
    ]


def savings_of(trend: CostTrend) -> dict:
    """Return what a year would save in plain values."""
    return {
        name: {"amount": saving_text(saving, trend.currency), "is_least": saving.is_least}
        for name, saving in vars(trend.savings).items()
    }


class CostTrends(ApiView):
    """A design in a month, a year or some days; with no days named, in the last twelve months."""

    queryset = Run.objects.none()
    serializer_class = CostTrendSerializer
    filter_backends = []
    pagination_class = None

    @extend_schema(parameters=[DESIGN, *DAYS])
    def get(self, request, *args, **kwargs):
        form = asked(CostTrendForm, request.query_params)
        design, period = found(form.cleaned_data["design"]), form.period()
        trend = cost_trend(design, period)
        facts = {"design": design.name, "start": period.start, "end": period.last}
        facts |= vars(trend) | {"rows": rows_of(trend), "savings": savings_of(trend)}
        return Response(self.get_serializer(facts).data)
