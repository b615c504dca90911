"""Designs: what the workshop makes."""

from decimal import Decimal

from django.utils.translation import gettext_lazy as _
from django_filters.rest_framework import ChoiceFilter, FilterSet
from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, ChangeSerializer, change_of
from inventory.api.fields import FoundField, MassField, PolymerField, TextField, WholeField
from inventory.api.filters import YesNoFilter
from inventory.api.names import by_name
from inventory.api.reads import ListView
from inventory.models import Form
from products.actions.designs import save_design
from products.api.sides import SideBodyField, SideField, size_sent
from products.calculations.sheet_sizes import size_fields
from products.forms.designs import MOST_LETTERS
from products.models import MAKES_PARTS, Design, Use

FACTS = (
    "name",
    "form",
    "made_by",
    "tracked",
    "nominal_mass_mg",
    "thickness_mm",
    "pieces_per_cycle",
    "is_packaging",
    "surface_mm2",
    "care",
    "repair",
    "spare_parts",
    "taking_apart",
    "not_for",
    "life",
    "inspection",
    "is_coated",
    "has_inserts",
    "uses",
    "note",
)
FORMS = [(form.value, form.label) for form in (Form.PART, Form.SHEET, Form.PROFILE)]
OPERATIONS = [(each.value, each.label) for each in MAKES_PARTS]
MOST_A_CYCLE = 32_767
MOST_MM2 = 10**9


class YesNoField(serializers.BooleanField):
    """True or false, and no text or number that looks like it."""

    def to_internal_value(self, data):
        if type(data) is not bool:
            raise serializers.ValidationError(_("Send true or false here."), code="invalid")
        return data


def public_text() -> TextField:
    """Return the field of a text that is short enough for a passport."""
    return TextField(max_length=MOST_LETTERS, allow_blank=True, default="")


class DesignField(FoundField):
    """A design by its name."""

    def find(self, text):
        return by_name(Design.objects.all(), text)


class DesignSerializer(serializers.Serializer):
    """A thing the workshop makes; no polymers: any."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    form = serializers.CharField()
    made_by = serializers.CharField()
    tracked = serializers.CharField()
    nominal_mass_mg = serializers.IntegerField()
    polymers = serializers.SerializerMethodField()
    thickness_mm = serializers.DecimalField(max_digits=6, decimal_places=2, allow_null=True)
    length_mm = SideField("length_um")
    width_mm = SideField("width_um")
    pieces_per_cycle = serializers.IntegerField()
    is_packaging = serializers.BooleanField()
    surface_mm2 = serializers.IntegerField(allow_null=True)
    care = serializers.CharField()
    repair = serializers.CharField()
    spare_parts = serializers.CharField()
    taking_apart = serializers.CharField()
    not_for = serializers.CharField()
    life = serializers.CharField()
    inspection = serializers.CharField()
    is_coated = serializers.BooleanField()
    has_inserts = serializers.BooleanField()
    uses = serializers.ListField(child=serializers.CharField())
    note = serializers.CharField()

    def get_polymers(self, design) -> list[str]:
        return sorted(polymer.symbol for polymer in design.polymers.all())


class ListedDesignSerializer(DesignSerializer):
    """A design with when it was withdrawn."""

    withdrawn_at = serializers.DateTimeField(allow_null=True)


class DesignAnswer(DesignSerializer):
    """A design as it was entered."""

    change = ChangeSerializer()

    def get_polymers(self, facts) -> list[str]:
        return sorted(polymer.symbol for polymer in facts["polymers"])


class DesignBody(ActBody):
    """A new design."""

    name = TextField(max_length=80)
    form = serializers.ChoiceField(choices=FORMS, default=Form.PART)
    made_by = serializers.ChoiceField(choices=OPERATIONS)
    tracked = serializers.ChoiceField(
        choices=Design.Tracking.choices, default=Design.Tracking.PIECE
    )
    nominal_mass_mg = MassField()
    polymers = serializers.ListField(child=PolymerField(), max_length=40, default=list)
    thickness_mm = serializers.DecimalField(
        max_digits=6, decimal_places=2, min_value=Decimal("0.01"), allow_null=True, default=None
    )
    length_mm = SideBodyField()
    width_mm = SideBodyField()
    pieces_per_cycle = WholeField(min_value=1, max_value=MOST_A_CYCLE, default=1)
    is_packaging = YesNoField(default=False)
    surface_mm2 = WholeField(min_value=1, max_value=MOST_MM2, allow_null=True, default=None)
    care = public_text()
    repair = public_text()
    spare_parts = public_text()
    taking_apart = public_text()
    not_for = public_text()
    life = public_text()
    inspection = public_text()
    is_coated = YesNoField(default=False)
    has_inserts = YesNoField(default=False)
    uses = serializers.ListField(
        child=serializers.ChoiceField(choices=Use.choices), max_length=len(Use), default=list
    )
    note = TextField(max_length=2000, allow_blank=True, default="")

    def validate(self, attrs):
        return super().validate(attrs) | {"size": size_sent(attrs)}


class DesignFilters(FilterSet):
    """Narrows designs."""

    form = ChoiceFilter(choices=FORMS)
    made_by = ChoiceFilter(choices=OPERATIONS)
    withdrawn = YesNoFilter(field_name="withdrawn_at", method="by_withdrawal")

    def by_withdrawal(self, rows, name, is_withdrawn):
        return rows.filter(withdrawn_at__isnull=not is_withdrawn)


class Designs(ActView, ListView):
    """Every design; POST adds one."""

    act = "design.edit"
    queryset = Design.objects.prefetch_related("polymers")
    serializer_class = ListedDesignSerializer
    filterset_class = DesignFilters
    search_fields = ("name", "note")
    ordering_fields = ("name", "nominal_mass_mg")
    body_class = DesignBody
    answer_class = DesignAnswer

    def perform(self, sent, act):
        fields = {name: sent[name] for name in FACTS}
        fields |= size_fields(sent["size"])
        fields["uses"] = [use.value for use in Use if use in sent["uses"]]
        polymers = sorted(set(sent["polymers"]), key=str)
        design = save_design(fields=fields, polymers=polymers, act=act)
        return fields | {"id": design.pk, "polymers": polymers, "change": change_of(act)}
