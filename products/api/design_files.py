"""A design as a file, and a design from a file."""

from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.access import ApiView, JsonBody
from inventory.api.acts import ActBody, ActView, ChangeSerializer, change_of
from inventory.api.fields import TextField
from inventory.api.lineages import DocumentField
from inventory.api.names import found
from products.actions.design_files import bring_design
from products.calculations.design_files import MOST_BYTES
from products.models import Design
from products.queries.design_files import file_of


class FileBody(JsonBody):
    """JSON as everywhere, and no longer than a file may be, with room for the act."""

    most_bytes = MOST_BYTES + 1000


class BringDesignBody(ActBody):
    """The document of a design's file, and another name if its own is taken here."""

    document = DocumentField()
    name = TextField(max_length=80, required=False, allow_blank=True, default="")


class BroughtAnswer(serializers.Serializer):
    """The design that was made."""

    id = serializers.IntegerField()
    design = serializers.CharField()
    change = ChangeSerializer()


class BringDesign(ActView):
    """Make a new design from a file; a name that is taken is refused, nothing is overwritten."""

    act = "design.edit"
    parser_classes = [FileBody]
    body_class = BringDesignBody
    answer_class = BroughtAnswer

    def perform(self, sent, act):
        name = sent["name"]
        design = bring_design(document=sent["document"], name=name, act=act)
        called = name.strip() or sent["document"]["name"].strip()
        return {"id": design.pk, "design": called, "change": change_of(act)}


class DesignFileSerializer(serializers.Serializer):
    """The document of a design's file, all of it by the schema `/schemas/design-3.json`."""

    format = serializers.CharField()
    schema = serializers.CharField()
    name = serializers.CharField()
    made_by = serializers.CharField()
    nominal_mass_mg = serializers.IntegerField()


class OneFile(ApiView):
    """The design in the address as the document of its file, by the schema `/schemas/design-3.json`."""

    queryset = Design.objects.prefetch_related("polymers", "windows", "items__component", "joints")
    serializer_class = DesignFileSerializer

    def get(self, request, id):
        design = found(self.get_queryset().filter(pk=id).first())
        return Response(file_of(design))
