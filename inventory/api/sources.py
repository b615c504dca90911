"""Who plastic came from."""

from django_filters.rest_framework import ChoiceFilter, FilterSet
from rest_framework import serializers

from inventory.actions.sources import save_source
from inventory.api.acts import ActBody, ActView, ChangeSerializer, change_of
from inventory.api.fields import TextField
from inventory.api.filters import YesNoFilter
from inventory.api.reads import ListView
from inventory.models import Source

FACTS = ("name", "role", "collection_route", "contact", "evidence", "note")


class SourceSerializer(serializers.Serializer):
    """A person, place or firm that hands plastic over."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    role = serializers.CharField()
    collection_route = serializers.CharField()
    contact = serializers.CharField()
    evidence = serializers.CharField()
    note = serializers.CharField()


class ListedSourceSerializer(SourceSerializer):
    """A source with whether it still hands plastic over."""

    is_active = serializers.BooleanField()


class SourceAnswer(SourceSerializer):
    """A source as it was entered."""

    change = ChangeSerializer()


class SourceBody(ActBody):
    """A new source."""

    name = TextField(max_length=120)
    role = serializers.ChoiceField(choices=Source.Role.choices, default=Source.Role.COLLECTOR)
    collection_route = TextField(max_length=200, allow_blank=True, default="")
    contact = TextField(max_length=200, allow_blank=True, default="")
    evidence = TextField(max_length=200, allow_blank=True, default="")
    note = TextField(max_length=2000, allow_blank=True, default="")


class SourceFilters(FilterSet):
    """Narrows sources."""

    role = ChoiceFilter(choices=Source.Role)
    is_active = YesNoFilter(field_name="is_active")


class Sources(ActView, ListView):
    """Every source; POST adds one."""

    act = "source.edit"
    queryset = Source.objects.all()
    serializer_class = ListedSourceSerializer
    filterset_class = SourceFilters
    search_fields = ("name", "contact", "note")
    ordering_fields = ("name",)
    body_class = SourceBody
    answer_class = SourceAnswer

    def perform(self, sent, act):
        fields = {name: sent[name] for name in FACTS}
        source = save_source(fields=fields, act=act)
        return fields | {"id": source.pk, "change": change_of(act)}
