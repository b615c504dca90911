"""Printing labels: the act, the record of it and its sheet."""

from django.http import Http404
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django_filters.rest_framework import FilterSet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.exceptions import APIException

from inventory.api.acts import ActView, Body, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import FoundField, TextField, WholeField
from inventory.api.filters import MomentFilter
from inventory.api.names import by_name, found
from inventory.api.reads import ListView, OneView
from inventory.api.schemas import RefusalSerializer
from inventory.calculations.codes import normalise_code
from products.actions.labels import print_labels
from products.api.files import PDF, FileView, file_answer, file_responses
from products.calculations.qr_codes import AddressError
from products.models import Label, LabelGrid, Printing
from products.queries.labels import labels_on, printing_list
from products.queries.sheets import is_open, sheet_of
from products.queries.things import MOST_THINGS, Thing

MOST_A_SHEET = 2500


class GridField(FoundField):
    """A grid by its name."""

    def find(self, text):
        return by_name(LabelGrid.objects.all(), text)


class ThingBody(Body):
    """What a label is for."""

    kind = serializers.ChoiceField(choices=Label.Thing.choices)
    code = TextField(max_length=20)

    def validate(self, attrs):
        return Thing(attrs["kind"], normalise_code(attrs["code"]) or attrs["code"])


class PrintingBody(ReasonBody):
    """Labels to print; printing one again needs a reason."""

    things = ThingBody(many=True, max_length=MOST_THINGS)
    grid = GridField()
    start = WholeField(
        min_value=1, max_value=MOST_A_SHEET, default=1, help_text="The first free label."
    )


class LabelOnSheetSerializer(serializers.Serializer):
    """A label of a printing."""

    code = serializers.CharField()
    thing = serializers.CharField()
    thing_code = serializers.CharField()


class PrintingSerializer(serializers.Serializer):
    """One print of labels; its sheet is at `sheet`."""

    uuid = serializers.UUIDField()
    printed_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")
    grid = serializers.CharField(source="grid_name")
    start = serializers.IntegerField()
    reason = serializers.CharField()
    sheet = serializers.SerializerMethodField()

    def get_sheet(self, printing) -> str:
        return reverse("api:printing-sheet", args=[printing.uuid])


class WholePrintingSerializer(PrintingSerializer):
    """A printing with its labels in the order of the sheet."""

    labels = serializers.SerializerMethodField()

    def get_labels(self, printing) -> LabelOnSheetSerializer(many=True):
        return LabelOnSheetSerializer(labels_on(printing), many=True).data


class PrintingAnswer(WholePrintingSerializer):
    """What was printed."""

    change = ChangeSerializer()


class PrintingFilters(FilterSet):
    """Narrows printings."""

    printed_from = MomentFilter(field_name="printed_at", lookup_expr="gte")
    printed_until = MomentFilter(field_name="printed_at", lookup_expr="lte")


class Printings(ActView, ListView):
    """Every printing, newest first; POST prints labels."""

    act = "label.print"
    queryset = printing_list()
    serializer_class = PrintingSerializer
    filterset_class = PrintingFilters
    search_fields = ("grid_name", "reason")
    ordering_fields = ("printed_at",)
    body_class = PrintingBody
    answer_class = PrintingAnswer

    def perform(self, sent, act):
        chosen = {name: sent[name] for name in ("things", "grid", "start")}
        printing = print_labels(**chosen, act=act)
        printing.change = change_of(act)
        return printing


def printing_with(rows, uuid) -> Printing:
    """Return the printing of a UUID, or answer 404."""
    return found(rows.filter(uuid=uuid).first())


class OnePrinting(OneView):
    """One printing with its labels."""

    queryset = printing_list()
    serializer_class = WholePrintingSerializer
    lookup_field = "uuid"
    find = staticmethod(printing_with)

    def get_object(self):
        return printing_with(self.get_queryset(), self.kwargs["uuid"])


class SheetClosed(APIException):
    """A sheet that was printed long ago."""

    status_code = status.HTTP_410_GONE
    default_code = "sheet-closed"
    default_detail = _("This sheet is closed; print its labels again and say why.")


@extend_schema(responses=file_responses(PDF) | {410: RefusalSerializer})
class Sheet(FileView):
    """The sheet of a printing as a PDF, for a quarter of an hour; labels void now are left out."""

    queryset = printing_list()

    def get(self, request, uuid):
        printing = printing_with(self.get_queryset(), uuid)
        if not is_open(printing):
            raise SheetClosed
        try:
            content = sheet_of(printing)
        except AddressError:
            content = None
        if content is None:
            raise Http404
        return file_answer(content, PDF)
