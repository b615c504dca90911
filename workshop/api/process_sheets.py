"""Process sheets: settings that worked, and choosing one that stands first."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.acts import ActBody, ActView, Body, ChangeSerializer, change_of
from inventory.api.fields import PolymerField, TextField
from inventory.api.names import found
from products.api.files import query
from products.models import Design
from workshop.actions.process_sheets import SheetKey, choose_setting, drop_setting
from workshop.api.machines import MachineField
from workshop.queries.foreign_sheets import foreign_sheets
from workshop.queries.process_sheets import chosen_rows, process_sheet

MOST_HISTORY = 50


class SheetBody(Body):
    """Which sheet of a design: the polymer and the machine; left out, where most runs worked."""

    polymer = PolymerField(required=False, default=None)
    machine = MachineField(required=False, default=None)


class SettingBody(ActBody):
    """A setting of the sheet of a polymer on a machine."""

    polymer = PolymerField()
    machine = MachineField()
    name = TextField(
        max_length=60,
        help_text="A quantity such as melt, cycle, a step such as step-cool, or words of one's own.",
    )
    reason = TextField(max_length=300, help_text="Why it is chosen or dropped.")


class ChooseBody(SettingBody):
    """A value in the unit of its quantity; times are in s, words of one's own bring a unit."""

    value = serializers.DecimalField(
        max_digits=9, decimal_places=2, min_value=-1_000_000, max_value=1_000_000
    )
    unit = TextField(required=False, allow_blank=True, default="", max_length=12)


class MiddleSerializer(serializers.Serializer):
    """Over the runs: the median, and the quartiles (Hyndman and Fan's type 7), null below four runs."""

    runs = serializers.IntegerField()
    is_few = serializers.BooleanField(help_text="Fewer than three runs: nothing to go by.")
    median = serializers.FloatField()
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)


class ChosenSerializer(serializers.Serializer):
    """A setting as the lead chose it; without a value it was dropped."""

    name = serializers.CharField()
    value = serializers.FloatField(allow_null=True)
    unit = serializers.CharField()
    note = serializers.CharField()
    happened_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")


class ChosenAnswer(ChosenSerializer):
    """A setting as it was chosen or dropped, and the act that did so."""

    design = serializers.CharField(source="design.name")
    polymer = serializers.CharField(source="polymer.symbol")
    machine = serializers.CharField(source="machine.name")
    change = ChangeSerializer()


class WindowOfSettingSerializer(serializers.Serializer):
    """A window in words, and where it comes from."""

    window = serializers.CharField()
    source = serializers.CharField()


class SettingSerializer(serializers.Serializer):
    """One line of a sheet."""

    name = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField()
    chosen = ChosenSerializer(allow_null=True)
    learned = MiddleSerializer(allow_null=True)
    windows = WindowOfSettingSerializer(many=True)
    is_above_fume = serializers.BooleanField(help_text="Whether what was chosen fumes by now.")


class BestRunSerializer(serializers.Serializer):
    """A run that worked and noted its settings."""

    run = serializers.CharField(source="run.code")
    number = serializers.CharField(source="run.number")
    settings_note = serializers.CharField(source="run.settings_note")
    reject_share = serializers.FloatField()


class ForeignSettingSerializer(serializers.Serializer):
    """A setting as another workshop told it, and what was learned of it here."""

    name = serializers.CharField()
    label = serializers.CharField()
    value = serializers.FloatField()
    unit = serializers.CharField()
    is_chosen = serializers.BooleanField(help_text="Chosen there, or else learned from runs there.")
    runs = serializers.IntegerField()
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    here = MiddleSerializer(allow_null=True)
    is_above_fume = serializers.BooleanField(
        help_text="Whether the polymer fumes at it: never set."
    )


class ForeignSheetSerializer(serializers.Serializer):
    """A sheet from another workshop; with `tried` 0 no closed run here has confirmed it."""

    polymer = serializers.CharField(source="sheet.polymer.symbol")
    machine_kind = serializers.CharField(source="sheet.machine_kind")
    limits = serializers.DictField(
        child=serializers.CharField(), source="sheet.limits", help_text="Of the machine there."
    )
    runs = serializers.IntegerField(source="sheet.runs", help_text="That worked there.")
    is_second_hand = serializers.BooleanField(source="sheet.is_second_hand")
    happened_at = serializers.DateTimeField(source="sheet.happened_at")
    tried = serializers.IntegerField(help_text="Closed runs here that worked.")
    settings = ForeignSettingSerializer(many=True)


class ProcessSerializer(serializers.Serializer):
    """Settings that worked; shares are of what was worked, masses in mg, times in s."""

    design = serializers.CharField(source="design.name")
    polymer = serializers.CharField(source="polymer.symbol", default=None, allow_null=True)
    machine = serializers.CharField(source="machine.name", default=None, allow_null=True)
    closed = serializers.IntegerField(help_text="Closed runs of that polymer on that machine.")
    worked = serializers.ListField(child=serializers.CharField(), source="runs")
    settings = SettingSerializer(many=True)
    shares = serializers.DictField(child=MiddleSerializer(), help_text="By kind of yield.")
    charge_mg = MiddleSerializer(allow_null=True, help_text="For one piece.")
    best = BestRunSerializer(many=True)
    fume_above_c = serializers.IntegerField(source="ceiling.c", allow_null=True)
    history = ChosenSerializer(many=True)
    foreign = ForeignSheetSerializer(
        many=True, help_text="From other workshops, all of the design."
    )


class SettingView(ActView):
    """An act on a setting of the design in the address."""

    act = "setting.choose"
    queryset = Design.objects.prefetch_related("windows")
    answer_class = ChosenAnswer

    def design(self) -> Design:
        return found(self.get_queryset().filter(pk=self.kwargs["id"]).first())

    def key_of(self, sent: dict) -> SheetKey:
        return SheetKey(self.design(), sent["polymer"], sent["machine"])


class Process(SettingView):
    """The process sheet of a design, by names in the query; POST chooses a setting of it."""

    filter_backends = []
    pagination_class = None
    serializer_class = ProcessSerializer
    body_class = ChooseBody

    @extend_schema(parameters=[query("polymer"), query("machine")])
    def get(self, request, *args, **kwargs):
        asked = request.query_params.dict()
        asked.pop("format", None)
        body = SheetBody(data=asked)
        body.is_valid(raise_exception=True)
        sheet = process_sheet(self.design(), **body.validated_data)
        rows = chosen_rows(sheet.design, sheet.polymer, sheet.machine) if sheet.is_named else ()
        facts = {name: getattr(sheet, name) for name in sheet.__dataclass_fields__}
        facts["foreign"] = foreign_sheets(sheet)
        facts |= {"runs": [run.number for run in sheet.runs], "history": rows[:MOST_HISTORY]}
        return Response(ProcessSerializer(facts).data)

    def perform(self, sent, act):
        setting = {name: sent[name] for name in ("name", "value", "unit")}
        row = choose_setting(sheet=self.key_of(sent), act=act, **setting)
        row.change = change_of(act)
        return row


class DropSetting(SettingView):
    """Let what was learned stand first again."""

    body_class = SettingBody

    def perform(self, sent, act):
        row = drop_setting(sheet=self.key_of(sent), name=sent["name"], act=act)
        row.change = change_of(act)
        return row
