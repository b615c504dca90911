"""The calculators of the desk: what they ask and answer, and one answer."""

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.api.filters import SENTENCE, KnownParameters
from inventory.api.names import found
from inventory.api.paging import NumberedPages
from inventory.api.reads import ListView
from products.calculations.calculators import BASES
from workshop.calculations.catalogue import BY_NAME, CALCULATORS
from workshop.forms.calculators import CalculatorForm
from workshop.queries.calculators import given_lines, note_said, output_lines, polymer_facts

ALWAYS_KNOWN = {"format"}


class InputSerializer(serializers.Serializer):
    """What a calculator asks; `filled_by` names the polymer's figure that is taken without it."""

    name = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField()
    kind = serializers.CharField()
    default = serializers.JSONField(help_text="A number, a word, or null.")
    least = serializers.FloatField(allow_null=True)
    most = serializers.FloatField(allow_null=True)
    choices = serializers.SerializerMethodField()
    is_optional = serializers.BooleanField()
    filled_by = serializers.CharField()

    def get_choices(self, asked) -> list[str]:
        return [value for value, _label in asked.choices]


class OutputSerializer(serializers.Serializer):
    """What a calculator answers."""

    name = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField()
    digits = serializers.IntegerField(help_text="Significant digits that mean something.")
    rounds = serializers.CharField(
        help_text="How a page rounds it: up (what is needed), down (what there is), or to the nearest."
    )


class SourceSerializer(serializers.Serializer):
    """Where a formula or figure comes from."""

    text = serializers.CharField()
    basis = serializers.SerializerMethodField()

    def get_basis(self, source) -> str:
        return BASES[source.basis]


class CalculatorSerializer(serializers.Serializer):
    """A calculator: its question, inputs, outputs, formula and sources."""

    name = serializers.CharField()
    title = serializers.CharField()
    question = serializers.CharField()
    steps = serializers.ListField(child=serializers.CharField())
    inputs = InputSerializer(many=True)
    outputs = OutputSerializer(many=True)
    formula = serializers.ListField(child=serializers.CharField())
    valid = serializers.CharField()
    caution = serializers.CharField()
    sources = SourceSerializer(many=True)


class GivenSerializer(serializers.Serializer):
    """What an answer was reckoned with, and whose figure it is when nobody sent it."""

    name = serializers.CharField()
    value = serializers.JSONField(help_text="A number or a word.")
    unit = serializers.CharField()
    source = serializers.CharField()


class ResultSerializer(serializers.Serializer):
    """One figure of an answer; null where there is none."""

    name = serializers.CharField()
    label = serializers.CharField()
    value = serializers.JSONField(help_text="A number, a word, or null.")
    unit = serializers.CharField()


class NoteSerializer(serializers.Serializer):
    """Something out of its usual range."""

    code = serializers.CharField()
    sentence = serializers.CharField()


class AnswerSerializer(CalculatorSerializer):
    """A calculator with the answer to what was asked."""

    given = GivenSerializer(many=True)
    results = ResultSerializer(many=True)
    notes = NoteSerializer(many=True)


class Calculators(ListView):
    """Every calculator of the desk."""

    filter_backends = [KnownParameters]
    pagination_class = NumberedPages
    serializer_class = CalculatorSerializer

    def get_queryset(self):
        return CALCULATORS


class OneCalculator(ApiView):
    """Ask one calculator: its inputs by name in the query; what is left out has its default.

    An empty input that a polymer fills is taken from the polymer of the query.
    """

    serializer_class = AnswerSerializer

    @extend_schema(parameters=[OpenApiParameter("slug", OpenApiTypes.STR, OpenApiParameter.PATH)])
    def get(self, request, slug):
        calculator = found(BY_NAME.get(slug))
        asked = request.query_params.dict()
        known = {each.name for each in calculator.inputs} | ALWAYS_KNOWN
        if unknown := asked.keys() - known:
            raise ValidationError({name: [SENTENCE] for name in sorted(unknown)})
        form = CalculatorForm(calculator, polymer_facts(), asked)
        if not form.is_valid():
            errors = {name: list(texts) for name, texts in form.errors.items()}
            raise ValidationError({"non_field_errors": errors.pop("__all__", [])} | errors)
        told = vars(calculator) | {
            "given": given_lines(calculator, form.cleaned_data, form.filled),
            "results": output_lines(calculator, form.answer),
            "notes": [
                {"code": note.code, "sentence": note_said(calculator, note)}
                for note in form.answer.notes
            ],
        }
        return Response(AnswerSerializer(told).data)
