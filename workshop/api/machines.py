"""Machines, their purges, and tooling."""

from django_filters.rest_framework import ChoiceFilter, FilterSet
from rest_framework import serializers

from inventory.api.acts import ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import FoundField
from inventory.api.filters import YesNoFilter
from inventory.api.names import by_name, found
from inventory.api.reads import ListView
from products.models import Work
from workshop.actions.machines import log_purge
from workshop.models import Machine, Tooling


class MachineField(FoundField):
    """A machine by its name."""

    def find(self, text):
        return by_name(Machine.objects.all(), text)


class ToolingField(FoundField):
    """Tooling by its name."""

    def find(self, text):
        return by_name(Tooling.objects.all(), text)


class MachineSerializer(serializers.Serializer):
    """A machine; it remembers the polymer it last worked."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    kind = serializers.CharField()
    place = serializers.CharField()
    capacity_mg = serializers.IntegerField(allow_null=True, help_text="What it takes at once.")
    force_kn = serializers.IntegerField(
        allow_null=True, help_text="Of a press, or to shut a mould."
    )
    platen_length_mm = serializers.IntegerField(allow_null=True)
    platen_width_mm = serializers.IntegerField(allow_null=True)
    shot_mm3 = serializers.IntegerField(allow_null=True, help_text="In one shot at most.")
    barrel_mm3 = serializers.IntegerField(allow_null=True, help_text="All that melt fills.")
    last_polymer = serializers.CharField(source="last_polymer.symbol", allow_null=True)
    note = serializers.CharField()
    retired_at = serializers.DateTimeField(allow_null=True)


class MachineFilters(FilterSet):
    """Narrows machines."""

    kind = ChoiceFilter(choices=Machine.Kind)
    retired = YesNoFilter(field_name="retired_at", method="by_retirement")

    def by_retirement(self, rows, name, is_retired):
        return rows.filter(retired_at__isnull=not is_retired)


class Machines(ListView):
    """Every machine."""

    queryset = Machine.objects.select_related("last_polymer")
    serializer_class = MachineSerializer
    filterset_class = MachineFilters
    search_fields = ("name", "place", "note")
    ordering_fields = ("name", "kind")


class PurgeAnswer(serializers.Serializer):
    """A machine cleaned of the polymer it last worked."""

    machine = serializers.CharField(source="machine.name")
    polymer = serializers.CharField(source="polymer.symbol", allow_null=True)
    happened_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")
    note = serializers.CharField()
    change = ChangeSerializer()


class Purges(ActView):
    """Write down that a machine was purged; the reason says how."""

    act = "machine.purge"
    queryset = Machine.objects.all()
    lookup_field = "id"
    body_class = ReasonBody
    answer_class = PurgeAnswer

    def perform(self, sent, act):
        machine = found(self.get_queryset().filter(pk=self.kwargs["id"]).first())
        purge = log_purge(machine=machine, act=act)
        purge.change = change_of(act)
        return purge


class ToolingSerializer(serializers.Serializer):
    """A mould, frame, die, jig or blade, with what it is for and how fit it is."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    kind = serializers.CharField()
    cavities = serializers.IntegerField()
    capacity_mg = serializers.IntegerField(allow_null=True, help_text="What it takes at once.")
    work = serializers.CharField(help_text="Which work of a route it is used to do.")
    designs = serializers.StringRelatedField(many=True)
    make = serializers.CharField()
    shot_mm3 = serializers.IntegerField(allow_null=True)
    projected_mm2 = serializers.IntegerField(
        allow_null=True, help_text="Of a mould, seen along the force, runners included."
    )
    frame_length_um = serializers.IntegerField(allow_null=True, help_text="Inside of a frame.")
    frame_width_um = serializers.IntegerField(allow_null=True)
    frame_depth_um = serializers.IntegerField(allow_null=True)
    clamp = serializers.CharField()
    changeover_minutes = serializers.IntegerField(allow_null=True)
    condition = serializers.CharField()
    upkeep = serializers.CharField()
    upkeep_on = serializers.DateField(allow_null=True)
    note = serializers.CharField()


class ToolingFilters(FilterSet):
    """Narrows tooling."""

    kind = ChoiceFilter(choices=Tooling.Kind)
    work = ChoiceFilter(choices=Work)
    condition = ChoiceFilter(choices=Tooling.Condition)


class AllTooling(ListView):
    """All tooling."""

    queryset = Tooling.objects.prefetch_related("designs")
    serializer_class = ToolingSerializer
    filterset_class = ToolingFilters
    search_fields = ("name", "note")
    ordering_fields = ("name", "kind")
