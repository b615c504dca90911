"""Starting a run from a plan: what is written, and each refusal, after which nothing is."""

import pytest

from inventory.models import Change
from tests.factories.book import refused
from tests.factories.inventory import KG, make_act, make_full_bin, polymer
from tests.factories.plans import make_question, start
from tests.factories.workshop import DesignFactory, MachineFactory, ToolingFactory, load
from workshop.actions.plans import start_planned_run
from workshop.models import Plan, Run
from workshop.queries.plans import plan_for

pytestmark = pytest.mark.django_db


PLATEN = {"platen_length_mm": 700, "platen_width_mm": 500}
LONG_FRAME = {"frame_length_um": 701_000, "frame_width_um": 100_000, "frame_depth_um": 50_000}


@pytest.fixture
def stock(operator):
    return make_full_bin(operator)


def counts():
    return Plan.objects.count(), Run.objects.count(), Change.objects.count()


def test_a_started_run_keeps_its_plan_as_it_was_shown(stock, operator):
    question = make_question(tooling=ToolingFactory(kind="frame", capacity_mg=5 * KG))
    shown = plan_for(question)
    plan = start(operator, question)
    run = plan.run
    assert (run.design, run.machine, run.tooling) == (
        question.design,
        question.machine,
        question.tooling,
    )
    assert (run.planned_pieces, run.operation, run.operator) == (3, "press", operator)
    assert plan.content == shown.content()
    assert plan.charge_mg == shown.charge.charge_mg
    assert [draw["name"] for draw in plan.draws] == [stock[0].name]


def test_starting_is_written_down_with_its_question(stock, operator):
    plan = start(operator)
    change = Change.objects.get(uuid=plan.uuid)
    assert (change.verb, change.subject, change.by) == (
        "start planned run",
        plan.run.code,
        operator,
    )
    assert change.request["question"]["pieces"] == 3


def test_starting_again_under_its_id_is_the_same_run_even_when_stock_has_gone(stock, operator):
    question, act = make_question(), make_act(operator)
    token = plan_for(question).token
    first = start_planned_run(question=question, token=token, act=act)
    load(first.run, stock[1], operator, 9 * KG)
    before = counts()
    assert start_planned_run(question=question, token=token, act=act) == first
    assert counts() == before


def test_another_question_under_the_same_id_is_refused(stock, operator):
    act = make_act(operator)
    start(operator, act=act)
    other = make_question()
    with refused("key-reused"):
        start(operator, other, act=act, token="x")


def test_a_plan_that_stock_has_overtaken_is_refused(stock, operator):
    question = make_question()
    token = plan_for(question).token
    make_full_bin(operator)
    load(start(operator).run, stock[1], operator, 9 * KG)
    with refused("plan-moved"):
        start(operator, question, token=token)
    assert plan_for(question).draws


@pytest.mark.parametrize(
    ("code", "changes"),
    [
        ("no-stock", {"pieces": 1000}),
        ("wrong-polymer", {"symbol": "PVC-U"}),
        ("wrong-polymer", {"symbol": "PP"}),
        ("not-planned", {"made_by": "cut"}),
        ("wrong-machine", {"kind": "extruder"}),
        ("does-not-fit", {"frame": {"capacity_mg": 900_000}}),
        ("does-not-fit", {"frame": LONG_FRAME}),
        ("needs-mending", {"frame": {"condition": "mend"}}),
    ],
)
def test_what_cannot_be_run_is_refused_and_nothing_is_written(stock, operator, code, changes):
    design = DesignFactory(nominal_mass_mg=KG, made_by=changes.pop("made_by", "press"))
    design.polymers.add(polymer("PE-HD"))
    more = {"design": design}
    more["machine"] = MachineFactory(kind=changes.pop("kind", "press"), **PLATEN)
    if symbol := changes.pop("symbol", None):
        more["polymer"] = polymer(symbol)
    if frame := changes.pop("frame", None):
        more["tooling"] = ToolingFactory(kind="frame", **frame)
    question = make_question(**more, **changes)
    with refused(code):
        start(operator, question, token="x")


def test_a_rejected_polymer_is_refused_though_the_design_allows_any(stock, operator):
    question = make_question(polymer=polymer("POM"))
    with refused("wrong-polymer"):
        start(operator, question, token="x")
