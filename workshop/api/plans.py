"""Plans: asked without writing anything, started as a run, and held against what was done."""

import re

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.api.acts import ActBody, ActView, Body, ChangeSerializer, change_of
from inventory.api.fields import ColourField, PolymerField, TextField, WholeField
from inventory.api.names import found
from products.api.designs import DesignField
from products.api.files import query
from workshop.actions.plans import guard_question, start_planned_run
from workshop.api.machines import MachineField, ToolingField
from workshop.api.run_costs import cost_told
from workshop.api.runs import run_named
from workshop.calculations.plan_fits import Fit
from workshop.calculations.run_costs import RunCost
from workshop.forms.plans import MOST_BINS, MOST_PIECES
from workshop.models import Plan
from workshop.queries.changeovers import change_said
from workshop.queries.plan_results import comparisons_of, plan_of
from workshop.queries.plan_words import fit_said, obstacle_said
from workshop.queries.plans import Planned, PlanQuestion, plan_for
from workshop.queries.purges import REMAINS
from workshop.queries.runs import run_list

FACTS = tuple(PlanQuestion.__dataclass_fields__)
ASKED = [query(name) for name in ("design", "machine", "tooling", "polymer", "colour")]
FIT_CODES = ["takes", "barrel", "frame", "platen", "force", "shot", "volume", "mould", "cavity"]
FIT_FACTS = (*Fit.__dataclass_fields__, "fits", "takes_mg", "asked_mg")
NUMBERS = ("pieces", "recycled_percent", "most_bins")
ASKED += [query(name, OpenApiTypes.INT) for name in NUMBERS]


def as_numbers(asked: dict) -> dict:
    """Return a query with what is a number there as one; an address holds text only."""
    return asked | {
        name: int(asked[name])
        for name in NUMBERS
        if re.fullmatch(r"-?[0-9]{1,9}", asked.get(name, ""))
    }


class QuestionBody(Body):
    """What is to be made, on what and of what, by names; no colour is any colour."""

    design = DesignField()
    pieces = WholeField(min_value=1, max_value=MOST_PIECES)
    machine = MachineField()
    polymer = PolymerField()
    tooling = ToolingField(allow_null=True, default=None)
    colour = ColourField(allow_null=True, default=None)
    recycled_percent = WholeField(min_value=0, max_value=100, allow_null=True, default=None)
    most_bins = WholeField(min_value=1, max_value=MOST_BINS, allow_null=True, default=None)


class PlanBody(QuestionBody, ActBody):
    """Start a run from a plan; the token is that of the answer that was looked at."""

    token = TextField(max_length=64)


class DrawSerializer(serializers.Serializer):
    """So much out of one bin, or of a delivery on the floor."""

    name = serializers.CharField()
    code = serializers.CharField()
    lot = serializers.CharField()
    colour = serializers.CharField()
    srgb = serializers.CharField()
    mass_mg = serializers.IntegerField()
    left_mg = serializers.IntegerField()


class FitSerializer(serializers.Serializer):
    """What one cycle is held against."""

    code = serializers.ChoiceField(choices=FIT_CODES)
    name = serializers.CharField()
    unit = serializers.ChoiceField(choices=["mg", "mm3", "mm", "kN"])
    takes = serializers.FloatField(help_text="In the unit.")
    asked = serializers.FloatField(help_text="In the unit.")
    takes_mg = serializers.IntegerField(allow_null=True, help_text="Null where it is no mass.")
    asked_mg = serializers.IntegerField(allow_null=True)
    depth_mm = serializers.FloatField(
        allow_null=True, help_text="How high loose flake lies in a frame."
    )
    melt_mg = serializers.FloatField(allow_null=True, help_text="Fills the volume, as melt.")
    solid_mg = serializers.FloatField(allow_null=True, help_text="The same by solid density.")
    stay_s = serializers.FloatField(allow_null=True, help_text="How long melt stays in it.")
    fits = serializers.BooleanField()
    is_estimate = serializers.BooleanField(help_text="It warns, and refuses nothing.")
    sentence = serializers.CharField()


class ObstacleSerializer(serializers.Serializer):
    """Why no bins give the charge."""

    code = serializers.CharField()
    sentence = serializers.CharField()


class PlannedStepSerializer(serializers.Serializer):
    """The median seconds of one step of a cycle."""

    name = serializers.CharField()
    seconds = serializers.FloatField()


class PlanCostSerializer(serializers.Serializer):
    """What it will use and cost by the rates of today, as text; money in minor units, null where not known."""

    currency = serializers.CharField(help_text="ISO 4217; empty when none was set.")
    is_least = serializers.BooleanField(help_text="Whether something of it is not known.")
    kwh = serializers.CharField(allow_null=True)
    kwh_basis = serializers.CharField(help_text="learned, rated, or empty.")
    lines = serializers.DictField(
        child=serializers.CharField(allow_null=True), help_text="By kind."
    )
    total = serializers.CharField(allow_null=True)


class PlannedChangeSerializer(serializers.Serializer):
    """What has to be changed on the machine first, for it differs from the run before."""

    code = serializers.ChoiceField(choices=["tooling", "polymer", "colour"])
    before = serializers.CharField(help_text="What is on or in it; empty for nothing.")
    planned = serializers.CharField()
    seconds = serializers.IntegerField(allow_null=True, help_text="Null where nobody knows.")
    basis = serializers.CharField(help_text="register, paused (for cleaning), or empty.")
    runs = serializers.IntegerField(help_text="Of how many runs the seconds are the median.")
    sentence = serializers.CharField()


class PurgeNeedSerializer(serializers.Serializer):
    """The machine last worked another polymer: it refuses the planned one until it is purged."""

    last = serializers.CharField(source="last.symbol")
    next = serializers.CharField(source="next.symbol")
    is_possible = serializers.BooleanField(help_text="False after reject material.")
    compatibility = serializers.ChoiceField(choices=sorted(REMAINS))
    sentence = serializers.CharField(source="said")
    remains = serializers.CharField(source="remains_said", help_text="What a rest would do.")


class PlanAnswer(serializers.Serializer):
    """What a run needs and gives; masses in mg, times in seconds and null where not known."""

    charge_mg = serializers.IntegerField()
    cycles = serializers.IntegerField()
    cycle_mg = serializers.IntegerField()
    pieces_made = serializers.IntegerField()
    piece_mg = serializers.IntegerField()
    expected_mg = serializers.DictField(child=serializers.IntegerField(), help_text="By kind.")
    learned_from_runs = serializers.IntegerField(help_text="0: by what is usual.")
    cycle_s = serializers.FloatField(allow_null=True)
    total_s = serializers.FloatField(allow_null=True)
    steps = PlannedStepSerializer(many=True)
    fits = FitSerializer(many=True)
    verdict = serializers.ChoiceField(choices=["no", "may-not", "doubt", "fits", "unknown"])
    limiting = serializers.CharField(allow_null=True)
    limiting_code = serializers.CharField(allow_null=True, help_text="Of the fit that limits.")
    tooling_says = serializers.ListField(
        child=serializers.CharField(), help_text="What is to be known of the tooling before use."
    )
    changeover_s = serializers.IntegerField(help_text="Part of total_s.")
    changes = PlannedChangeSerializer(many=True)
    open_runs = serializers.ListField(
        child=serializers.CharField(), help_text="Numbers of those on the machine already."
    )
    needs_purge = serializers.BooleanField()
    purge = PurgeNeedSerializer(allow_null=True)
    draws = DrawSerializer(many=True)
    obstacles = ObstacleSerializer(many=True)
    costs = PlanCostSerializer()
    can_start = serializers.BooleanField()
    token = serializers.CharField(help_text="Starting a run from this plan asks for it.")


def answer_of(planned: Planned) -> dict:
    """Return the facts of a plan."""
    limiting, times, content = planned.limiting, planned.times, planned.content()
    return content | {
        "cycle_mg": planned.charge.cycle_mg,
        "total_s": planned.total_s,
        "steps": [{"name": name, "seconds": each} for name, each in (times.steps if times else ())],
        "fits": [
            {name: getattr(fit, name) for name in FIT_FACTS} | {"sentence": fit_said(fit)}
            for fit in planned.fits
        ],
        "verdict": planned.verdict,
        "open_runs": [run.number for run in planned.others_open],
        "limiting": limiting.name if limiting else None,
        "limiting_code": limiting.code if limiting else None,
        "tooling_says": planned.tooling_says,
        "changes": [vars(each) | {"sentence": change_said(each)} for each in planned.changes],
        "costs": costs_told(content["costs"], planned.costs.cost),
        "needs_purge": planned.purge is not None,
        "purge": planned.purge,
        "obstacles": [
            {"code": each.code, "sentence": obstacle_said(each, planned.question)}
            for each in planned.obstacles
        ],
        "can_start": planned.can_start,
        "token": planned.token,
    }


def costs_told(frozen: dict, cost: RunCost) -> dict:
    """Return the cost of a plan with its money in minor units; what is "at least" is rounded down."""
    told = cost_told(cost)
    lines = {line["kind"]: line["amount"] for line in told["lines"]}
    return frozen | {"lines": lines, "total": told["total"]}


class StartedAnswer(serializers.Serializer):
    """The run that was opened, with what was planned for it."""

    run = serializers.CharField(source="run.code")
    number = serializers.CharField(source="run.number")
    charge_mg = serializers.IntegerField()
    draws = DrawSerializer(many=True)
    change = ChangeSerializer()


def question_of(sent: dict) -> PlanQuestion:
    """Return the question of a valid body."""
    return PlanQuestion(**{name: sent[name] for name in FACTS})


class Plans(ActView):
    """Ask what a run needs, by names in the query; nothing is written. POST starts the run of a plan."""

    act = "run.open"
    queryset = Plan.objects.none()
    filter_backends = []
    pagination_class = None
    serializer_class = PlanAnswer
    body_class = PlanBody
    answer_class = StartedAnswer

    @extend_schema(parameters=ASKED)
    def get(self, request, *args, **kwargs):
        asked = request.query_params.dict()
        asked.pop("format", None)
        body = QuestionBody(data=as_numbers(asked))
        body.is_valid(raise_exception=True)
        question = question_of(body.validated_data)
        guard_question(question)
        return Response(PlanAnswer(answer_of(plan_for(question))).data)

    def perform(self, sent, act):
        plan = start_planned_run(question=question_of(sent), token=sent["token"], act=act)
        plan.change = change_of(act)
        return plan


class ComparisonSerializer(serializers.Serializer):
    """A planned figure beside the actual one; null where one is not known."""

    code = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField(help_text="mg, s, kWh, a currency, or empty for a count.")
    planned = serializers.FloatField(allow_null=True)
    actual = serializers.FloatField(allow_null=True)
    difference = serializers.FloatField(allow_null=True)


class RunPlanAnswer(serializers.Serializer):
    """The plan of a run against what was done."""

    run = serializers.CharField()
    number = serializers.CharField()
    made_at = serializers.DateTimeField()
    by = serializers.CharField()
    content = serializers.JSONField(help_text="The plan as it was frozen.")
    figures = ComparisonSerializer(many=True)


class RunPlan(ApiView):
    """The plan that a run was started from against what was done; 404 without one."""

    queryset = run_list()
    lookup_field = "code"
    serializer_class = RunPlanAnswer

    def get(self, request, *args, **kwargs):
        run = found(run_named(self.get_queryset(), self.kwargs["code"]))
        plan = found(plan_of(run))
        facts = {"run": run.code, "number": run.number, "made_at": plan.made_at}
        facts |= {"by": plan.by.get_username(), "content": plan.content}
        facts["figures"] = comparisons_of(plan, run, timezone.now())
        return Response(RunPlanAnswer(facts).data)
