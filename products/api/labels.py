"""Labels: which there are, voiding, replacing, and one as a picture."""

from django.http import Http404
from django_filters.rest_framework import ChoiceFilter, FilterSet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError

from inventory.api.acts import ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.filters import WordFilter, YesNoFilter
from inventory.api.names import by_code, found
from inventory.api.reads import ListView, OneView
from products.actions.labels import replace_label, void_label
from products.api.files import DOTS, PNG, SIZES, SVG, FileView, file_answer, file_responses
from products.calculations.qr_codes import AddressError
from products.forms.labels import SizeForm
from products.models import Label
from products.queries.labels import label_list
from products.queries.sheets import single_png, single_svg


class LabelSerializer(serializers.Serializer):
    """A code stuck on a thing; a void one says why, a replaced one by which."""

    code = serializers.CharField()
    thing = serializers.CharField()
    thing_code = serializers.CharField()
    made_at = serializers.DateTimeField()
    prints = serializers.IntegerField()
    voided_at = serializers.DateTimeField(allow_null=True)
    void_reason = serializers.CharField()
    replaced_by = serializers.CharField(source="replaced_by.code", allow_null=True)


class LabelFilters(FilterSet):
    """Narrows labels."""

    thing = ChoiceFilter(choices=Label.Thing)
    thing_code = WordFilter("thing_code")
    void = YesNoFilter(field_name="voided_at", method="by_voiding")

    def by_voiding(self, rows, name, is_void):
        return rows.filter(voided_at__isnull=not is_void)


class Labels(ListView):
    """Every label, newest first."""

    queryset = label_list()
    serializer_class = LabelSerializer
    filterset_class = LabelFilters
    search_fields = ("code", "thing_code")
    ordering_fields = ("made_at",)


class OneLabel(OneView):
    """One label by its code, void ones included."""

    queryset = label_list()
    serializer_class = LabelSerializer


class LabelActView(ActView):
    """An act on the label in the address."""

    act = "label.void"
    queryset = Label.objects.all()
    lookup_field = "code"
    body_class = ReasonBody

    def label(self) -> Label:
        return found(by_code(self.get_queryset(), self.kwargs["code"]))


class VoidAnswer(serializers.Serializer):
    """A label that no longer counts."""

    label = serializers.CharField()
    change = ChangeSerializer()


class Void(LabelActView):
    """Say that a label no longer counts; whoever scans it is told so."""

    answer_class = VoidAnswer

    def perform(self, sent, act):
        return {"label": void_label(label=self.label(), act=act).code, "change": change_of(act)}


class ReplaceAnswer(VoidAnswer):
    """A label that no longer counts, and the one that does, which is to be printed."""

    replaced_by = serializers.CharField()


class Replace(LabelActView):
    """Void a label and give its thing one with a new code."""

    answer_class = ReplaceAnswer

    def perform(self, sent, act):
        label = self.label()
        new = replace_label(label=label, act=act)
        return {"label": label.code, "replaced_by": new.code, "change": change_of(act)}


class PictureView(FileView):
    """A label that counts, as a picture of a size."""

    queryset = label_list()

    def asked(self, request) -> tuple[Label, dict]:
        """Return the label and the size asked for."""
        label, form = (
            found(by_code(self.get_queryset(), self.kwargs["code"])),
            SizeForm(request.GET),
        )
        if not form.is_valid():
            raise ValidationError(form.errors)
        return label, form.size()


@extend_schema(parameters=SIZES, responses=file_responses(SVG))
class LabelSvg(PictureView):
    """One label as an SVG in millimetres."""

    def get(self, request, code):
        label, size = self.asked(request)
        size = {name: size[name] for name in ("width_mm", "height_mm")}
        return file_answer(drawn(single_svg, label, size), SVG)


@extend_schema(parameters=DOTS, responses=file_responses(PNG))
class LabelPng(PictureView):
    """One label as a PNG for a printer of a resolution."""

    def get(self, request, code):
        return file_answer(drawn(single_png, *self.asked(request)), PNG)


def drawn(draw, label: Label, size: dict) -> str | bytes:
    """Return a drawing of a label, or answer 404 when it is void or what it was on is gone."""
    if label.voided_at:
        raise Http404
    try:
        return draw(label, **size)
    except (AddressError, ValueError):
        raise Http404 from None
