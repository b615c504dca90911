"""Yield by design, and gap by machine and by operation."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.forms.periods import PeriodForm
from products.api.flows import DAYS, asked
from workshop.models import Run
from workshop.queries.run_figures import run_report


class QuartilesSerializer(serializers.Serializer):
    """Shares over the runs (Hyndman and Fan's type 7); quartiles are null below four runs."""

    low = serializers.FloatField(allow_null=True)
    median = serializers.FloatField()
    high = serializers.FloatField(allow_null=True)


class YieldRowSerializer(serializers.Serializer):
    """Parts made of the charges of one design; the share is that of the sums."""

    name = serializers.CharField()
    runs = serializers.IntegerField()
    loaded_mg = serializers.IntegerField()
    parts_mg = serializers.IntegerField()
    share = serializers.FloatField()
    spread = QuartilesSerializer()


class GapRowSerializer(serializers.Serializer):
    """Missing mass in sum; above zero something is missing."""

    name = serializers.CharField()
    runs = serializers.IntegerField()
    outside = serializers.IntegerField(help_text="Runs whose gap its weighings do not explain.")
    loaded_mg = serializers.IntegerField()
    gap_mg = serializers.IntegerField()
    expanded_mg = serializers.FloatField(help_text="Expanded uncertainty of the sum, k = 2.")
    is_within = serializers.BooleanField()
    share = serializers.FloatField()
    spread = QuartilesSerializer()


class RunFiguresSerializer(serializers.Serializer):
    """Figures of the runs that were closed in a period."""

    start = serializers.DateField()
    end = serializers.DateField(help_text="Its last day.")
    runs = serializers.IntegerField()
    by_design = YieldRowSerializer(many=True)
    by_machine = GapRowSerializer(many=True)
    by_operation = GapRowSerializer(many=True)


class RunFigures(ApiView):
    """Yields and gaps of a month, a year or some days; with no days named, of the last twelve months."""

    queryset = Run.objects.none()
    serializer_class = RunFiguresSerializer
    filter_backends = []
    pagination_class = None

    @extend_schema(parameters=DAYS)
    def get(self, request, *args, **kwargs):
        period = asked(PeriodForm, request.query_params).period()
        facts = vars(run_report(period)) | {"start": period.start, "end": period.last}
        return Response(self.get_serializer(facts).data)
