"""The mass flows of a period: what was there, what moved, and what is there, by place, step and material."""

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.api.filters import SENTENCE
from inventory.forms.periods import MaterialPeriodForm, PeriodForm
from inventory.models import Posting
from products.api.files import query
from products.queries.flow_tables import Report, report_of

DAYS = [
    query("month"),
    query("year", OpenApiTypes.INT),
    query("start", OpenApiTypes.DATE),
    query("end", OpenApiTypes.DATE),
]


def lines() -> serializers.DictField:
    """Return the field of masses by line."""
    return serializers.DictField(child=serializers.IntegerField(), help_text="mg by line.")


class FlowBalanceSerializer(serializers.Serializer):
    """What was there, came in, went out and is there: opening + in - out = closing, in mg."""

    opening_mg = serializers.IntegerField()
    ins = lines()
    outs = lines()
    closing_mg = serializers.IntegerField()


class FlowPlaceSerializer(FlowBalanceSerializer):
    """The balance of a place: stock, machine, part, or found."""

    place = serializers.CharField()


class FlowMaterialSerializer(FlowBalanceSerializer):
    """The balance of a polymer and colour; mixed is what was or became another material."""

    polymer = serializers.CharField(allow_null=True)
    colour = serializers.CharField()
    inside = lines()


class FlowStepSerializer(FlowBalanceSerializer):
    """The balance of a month or a year, with what went from place to place and into use."""

    start = serializers.DateField()
    end = serializers.DateField(help_text="Its last day.")
    inside = lines()
    handed_over_mg = serializers.IntegerField()
    returned_mg = serializers.IntegerField()


class InUseSerializer(serializers.Serializer):
    """Parts in use, and what is in them: opening + handed over - returned + changed = closing, in mg."""

    opening_mg = serializers.IntegerField()
    handed_over_mg = serializers.IntegerField()
    returned_mg = serializers.IntegerField()
    changed_mg = serializers.IntegerField()
    closing_mg = serializers.IntegerField()


class FlowSerializer(serializers.Serializer):
    """The mass flows of a period."""

    start = serializers.DateField()
    end = serializers.DateField(help_text="Its last day.")
    off_mg = serializers.IntegerField(
        allow_null=True,
        help_text="How much the lots hold otherwise by their own counters; null where not added up.",
    )
    whole = FlowBalanceSerializer()
    inside = lines()
    places = FlowPlaceSerializer(many=True)
    steps = FlowStepSerializer(many=True)
    materials = FlowMaterialSerializer(many=True)
    in_use = InUseSerializer()


def asked(form_class: type[PeriodForm], params) -> PeriodForm:
    """Return the valid form of what a client asks; a parameter that does not exist is refused."""
    unknown = params.keys() - {*form_class.base_fields, "format"}
    if unknown:
        raise ValidationError({name: [SENTENCE] for name in sorted(unknown)})
    form = form_class(params)
    if not form.is_valid():
        wrong = dict(form.errors)
        wrong["non_field_errors"] = wrong.pop("__all__", [])
        raise ValidationError({name: list(said) for name, said in wrong.items() if said})
    return form


def balance_of(balance) -> dict:
    """Return a balance in plain values."""
    names = ("opening_mg", "ins", "outs", "closing_mg")
    return {name: getattr(balance, name) for name in names}


class Flows(ApiView):
    """The mass flows of a month, a year or some days; with no days named, of the last twelve months."""

    queryset = Posting.objects.none()
    serializer_class = FlowSerializer
    filter_backends = []
    pagination_class = None

    @extend_schema(parameters=[*DAYS, query("polymer"), query("colour")])
    def get(self, request, *args, **kwargs):
        form = asked(MaterialPeriodForm, request.query_params)
        report = report_of(form.period(), form.material())
        return Response(self.get_serializer(facts_of(report)).data)


def facts_of(report: Report) -> dict:
    """Return a report in plain values."""
    period, sums = report.flow.period, report.in_use.sums
    return {
        "start": period.start,
        "end": period.last,
        "off_mg": report.flow.off_mg,
        "whole": balance_of(report.whole),
        "inside": report.flow.inside(),
        "places": [{"place": p} | balance_of(each) for p, each in report.places.items()],
        "steps": steps_of(report),
        "materials": materials_of(report),
        "in_use": {
            "opening_mg": sums["opening"].mass_mg,
            "handed_over_mg": sums["out"].mass_mg,
            "returned_mg": sums["back"].mass_mg,
            "changed_mg": report.in_use.changed_mg,
            "closing_mg": sums["closing"].mass_mg,
        },
    }


def steps_of(report: Report) -> list[dict]:
    """Return the months or years of a report in plain values."""
    moved = report.in_use.by_step(len(report.steps))
    return [
        balance_of(part.whole())
        | {
            "start": part.period.start,
            "end": part.period.last,
            "inside": part.inside(),
            "handed_over_mg": out.mass_mg,
            "returned_mg": back.mass_mg,
        }
        for part, (out, back) in zip(report.steps, moved, strict=True)
    ]


def materials_of(report: Report) -> list[dict]:
    """Return the materials of a report in plain values; of the one that was asked for, when one was."""
    wanted = report.flow.material
    return [
        balance_of(row.balance)
        | {"polymer": row.material.polymer or None, "colour": row.material.colour}
        | {"inside": row.inside}
        for row in report.material_rows()
        if wanted in (None, row.key)
    ]
