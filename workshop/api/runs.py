"""Runs from opening to closing."""

from django_filters.rest_framework import ChoiceFilter, FilterSet
from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, Body, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import TextField, WholeField
from inventory.api.filters import MomentFilter, WordFilter
from inventory.api.names import by_code, found
from inventory.api.postings import PostingSerializer, posting_of
from inventory.api.reads import ListView
from products.api.designs import DesignField
from products.api.parts import PartField
from products.models import Operation
from workshop.actions.planned_sheets import LONGEST_ADDRESS
from workshop.actions.planned_sheets import MOST_PLANNED as MOST_SHEETS
from workshop.actions.runs import RunPlan, abandon_run, close_run, open_run, reopen_run
from workshop.api.machines import MachineField, ToolingField
from workshop.models import Run
from workshop.queries.runs import run_list

FACTS = tuple(RunPlan.__dataclass_fields__)
MOST_PLANNED = 2_147_483_647
STATES = {
    "open": {"closed_at__isnull": True},
    "closed": {"closed_at__isnull": False, "is_abandoned": False},
    "abandoned": {"is_abandoned": True},
}


def run_named(rows, text: str):
    """Return the run of a code or of a shop number such as R-0042, or None."""
    mark, dash, digits = text.strip().upper().partition("-")
    if mark == "R" and dash and digits.isascii() and digits.isdecimal() and len(digits) < 16:  # noqa: PLR2004
        return rows.filter(pk=int(digits)).first()
    return by_code(rows, text)


class PlannedSheetSerializer(serializers.Serializer):
    """A sheet in stock that the run was opened to cut, or so many of a bag of them."""

    part = serializers.CharField(source="part.code")
    pieces = serializers.IntegerField()


class RunSerializer(serializers.Serializer):
    """One job on one machine, as it was opened."""

    uuid = serializers.UUIDField()
    code = serializers.CharField()
    number = serializers.CharField()
    operation = serializers.CharField()
    machine = serializers.CharField(source="machine.name")
    tooling = serializers.CharField(source="tooling.name", allow_null=True)
    design = serializers.CharField(source="design.name", allow_null=True)
    operator = serializers.CharField(source="operator.username")
    planned_pieces = serializers.IntegerField(allow_null=True)
    settings_note = serializers.CharField()
    note = serializers.CharField()
    cutting_list = serializers.CharField(help_text="The address of the plan it was opened from.")
    sheets = PlannedSheetSerializer(many=True, source="planned_sheets.all")
    opened_at = serializers.DateTimeField()


class ListedRunSerializer(RunSerializer):
    """A run with where it stands now."""

    state = serializers.CharField()
    closed_at = serializers.DateTimeField(allow_null=True)
    abandon_reason = serializers.CharField()


class OpenedAnswer(RunSerializer):
    """A run as it was opened, and the act that opened it."""

    change = ChangeSerializer()


class PlannedSheetBody(Body):
    """A sheet in stock by the code of its part; of a bag, how many."""

    part = PartField()
    pieces = WholeField(min_value=1, max_value=MOST_SHEETS, default=1)


class RunBody(ActBody):
    """A new run; one that cuts may name the sheets in stock that it is opened for."""

    operation = serializers.ChoiceField(choices=Operation.choices)
    machine = MachineField()
    design = DesignField(allow_null=True, default=None)
    tooling = ToolingField(allow_null=True, default=None)
    planned_pieces = WholeField(min_value=1, max_value=MOST_PLANNED, allow_null=True, default=None)
    settings_note = TextField(max_length=300, allow_blank=True, default="")
    note = TextField(max_length=2000, allow_blank=True, default="")
    cutting_list = TextField(max_length=LONGEST_ADDRESS, allow_blank=True, default="")
    sheets = PlannedSheetBody(many=True, default=list, max_length=MOST_SHEETS)


class RunFilters(FilterSet):
    """Narrows runs."""

    operation = ChoiceFilter(choices=Operation)
    machine = WordFilter("machine__name")
    design = WordFilter("design__name")
    operator = WordFilter("operator__username")
    state = ChoiceFilter(choices=[(state, state) for state in STATES], method="by_state")
    opened_from = MomentFilter(field_name="opened_at", lookup_expr="gte")
    opened_until = MomentFilter(field_name="opened_at", lookup_expr="lte")

    def by_state(self, rows, name, state):
        return rows.filter(**STATES[state])


class Runs(ActView, ListView):
    """Every run, newest first; POST opens one."""

    act = "run.open"
    queryset = run_list().prefetch_related("planned_sheets__part")
    serializer_class = ListedRunSerializer
    filterset_class = RunFilters
    search_fields = ("code", "machine__name", "design__name", "note", "settings_note")
    ordering_fields = ("opened_at", "closed_at")
    body_class = RunBody
    answer_class = OpenedAnswer

    def perform(self, sent, act):
        facts = {name: sent[name] for name in FACTS} | {"sheets": counted(sent["sheets"])}
        run = open_run(plan=RunPlan(**facts), act=act)
        run.change = change_of(act)
        return run


def counted(rows: list[dict]) -> tuple:
    """Return the sheets of a body, each part once."""
    pieces = {}
    for row in rows:
        pieces[row["part"]] = pieces.get(row["part"], 0) + row["pieces"]
    return tuple(pieces.items())


class RunActView(ActView):
    """An act on the run in the address, by code or by number."""

    queryset = run_list()
    lookup_field = "code"

    def run(self) -> Run:
        return found(run_named(self.get_queryset(), self.kwargs["code"]))


class EndAnswer(serializers.Serializer):
    """A run that was closed or abandoned, and the posting that booked the rest, if any."""

    run = serializers.CharField()
    number = serializers.CharField()
    change = ChangeSerializer()
    posting = PostingSerializer(allow_null=True)


def end_facts(run: Run, act) -> dict:
    """Return what never changes about the end of a run."""
    return {
        "run": run.code,
        "number": run.number,
        "change": change_of(act),
        "posting": posting_of(act.key),
    }


class Close(RunActView):
    """Close a run; a gap that the scales do not explain needs a reason naming the loss."""

    act = "run.close"
    body_class = ReasonBody
    answer_class = EndAnswer

    def perform(self, sent, act):
        return end_facts(close_run(run=self.run(), act=act), act)


class Abandon(RunActView):
    """Stop a run for good, with a reason; what is in the machine is booked out."""

    act = "run.abandon"
    body_class = ReasonBody
    answer_class = EndAnswer

    def perform(self, sent, act):
        return end_facts(abandon_run(run=self.run(), act=act), act)


class ReopenAnswer(serializers.Serializer):
    """A run that was opened again."""

    run = serializers.CharField()
    number = serializers.CharField()
    change = ChangeSerializer()


class Reopen(RunActView):
    """Open a closed run again to mend a mistake, with a reason."""

    act = "run.reopen"
    body_class = ReasonBody
    answer_class = ReopenAnswer

    def perform(self, sent, act):
        run = reopen_run(run=self.run(), act=act)
        return {"run": run.code, "number": run.number, "change": change_of(act)}
