"""A run on the ledger, from opening to closing."""

from dataclasses import replace

import pytest
from django.utils import timezone

from inventory.actions.postings import reverse_posting
from inventory.models import Posting
from products.actions.designs import withdraw_design
from products.models import Part
from tests.factories.book import refused, sentence, written
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    make_act,
    make_full_bin,
)
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    load,
    load_weighed,
    make_run,
    weigh_out,
    weigh_out_on,
)
from workshop.actions.charges import carry_over
from workshop.actions.runs import RunPlan, abandon_run, close_run, open_run, reopen_run
from workshop.models import Run
from workshop.queries.runs import balances

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


@pytest.fixture
def run(operator):
    return make_run(operator)


@pytest.fixture
def made(run, lot, operator):
    """A run that has pressed 6 kg into 5 kg of sheet, with 1 kg still in it."""
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 5 * KG, pieces=2)
    return run


def closed(run, by, reason=""):
    return close_run(run=run, act=make_act(by, reason))


def test_opens_with_all_that_was_planned(operator):
    plan = RunPlan(
        operation="inject",
        machine=MachineFactory(kind="injection"),
        design=DesignFactory(made_by="inject", form="part"),
        tooling=ToolingFactory(),
        planned_pieces=40,
        settings_note="230 C, 80 bar",
    )
    run = open_run(plan=plan, act=make_act(operator))
    assert (run.operator, run.state, run.planned_pieces) == (operator, "open", 40)
    assert (run.machine, run.design, run.tooling) == (plan.machine, plan.design, plan.tooling)


@pytest.mark.parametrize(
    ("operation", "kind"),
    [
        ("granulate", "press"),
        ("blend", "granulator"),
        ("press", "oven"),
        ("inject", "extruder"),
        ("extrude", "injection"),
        ("cut", "forming"),
        ("form", "cutter"),
    ],
)
def test_refuses_a_machine_that_cannot_do_it(operator, operation, kind):
    plan = RunPlan(operation=operation, machine=MachineFactory(kind=kind))
    with refused("wrong-machine"):
        open_run(plan=plan, act=make_act(operator))


def test_refuses_tooling_that_is_only_for_what_is_made_another_way(operator):
    hook, mould = DesignFactory(made_by="inject"), ToolingFactory(kind="mould")
    mould.designs.add(hook)
    plan = RunPlan("press", MachineFactory(kind="press"), DesignFactory(), mould)
    with refused("wrong-tooling"):
        open_run(plan=plan, act=make_act(operator))
    mould.designs.add(DesignFactory(made_by="press"))
    assert open_run(plan=plan, act=make_act(operator)).tooling == mould


def test_refuses_tooling_that_is_to_be_mended_and_takes_worn_tooling(operator):
    machine, mould = (
        MachineFactory(kind="granulator"),
        ToolingFactory(kind="screen", condition="mend"),
    )
    plan = RunPlan(operation="granulate", machine=machine, tooling=mould)
    with refused("needs-mending"):
        open_run(plan=plan, act=make_act(operator))
    mould.condition = "worn"
    assert open_run(plan=plan, act=make_act(operator)).tooling == mould


@pytest.mark.parametrize(
    ("operation", "machine", "kind", "said"),
    [
        ("granulate", "granulator", "mould", "is a mould; choose tooling to granulate with"),
        ("blend", "blender", "blade", "takes no tooling; choose none"),
        ("extrude", "extruder", "frame", "(die, mould, screen), or none"),
    ],
)
def test_refuses_tooling_of_a_kind_that_the_operation_never_uses(
    operator, operation, machine, kind, said
):
    """Which kinds a machine takes is common practice."""
    machine, tool = MachineFactory(kind=machine), ToolingFactory(kind=kind)
    plan = RunPlan(operation, machine, tooling=tool)
    with refused("wrong-tooling") as refusal:
        open_run(plan=plan, act=make_act(operator))
    assert said in refusal.value.messages[0]
    assert not Run.objects.exists()


def test_refuses_a_retired_machine(operator):
    machine = MachineFactory(kind="granulator", retired_at=timezone.now())
    with refused("wrong-machine"):
        open_run(plan=RunPlan(operation="granulate", machine=machine), act=make_act(operator))


@pytest.mark.parametrize(
    ("operation", "kind"),
    [("press", "press"), ("inject", "injection"), ("cut", "cutter"), ("form", "oven")],
)
def test_refuses_to_make_things_without_a_design(operator, operation, kind):
    plan = RunPlan(operation=operation, machine=MachineFactory(kind=kind))
    with refused("needs-design"):
        open_run(plan=plan, act=make_act(operator))


def test_refuses_a_design_that_is_made_another_way(operator):
    plan = RunPlan(
        operation="press", machine=MachineFactory(), design=DesignFactory(made_by="inject")
    )
    with refused("wrong-operation"):
        open_run(plan=plan, act=make_act(operator))


def test_refuses_a_withdrawn_design(operator, lead):
    design = withdraw_design(design=DesignFactory(), act=make_act(lead))
    plan = RunPlan(operation="press", machine=MachineFactory(), design=design)
    with refused("wrong-operation"):
        open_run(plan=plan, act=make_act(operator))


def test_a_repeated_opening_is_one_run(operator):
    plan, act = (
        RunPlan(operation="blend", machine=MachineFactory(kind="blender")),
        make_act(operator),
    )
    first = open_run(plan=plan, act=act)
    assert open_run(plan=plan, act=act) == first
    assert Run.objects.count() == 1


def test_refuses_another_plan_under_the_same_id(operator):
    plan, act = (
        RunPlan(operation="blend", machine=MachineFactory(kind="blender")),
        make_act(operator),
    )
    open_run(plan=plan, act=act)
    with refused("key-reused"):
        open_run(plan=replace(plan, note="again"), act=act)


# Closing


def test_refuses_to_close_over_a_gap_the_scales_cannot_explain(made, operator):
    with refused("gap") as refusal:
        closed(made, operator)
    assert "1.000 kg" in sentence(refusal)


def test_closes_over_a_gap_that_the_operator_names(made, operator):
    closed(made, operator, "vapour")
    closing = Posting.objects.get(kind="close")
    transfer = closing.transfers.get()
    assert (transfer.role, transfer.mass_mg, transfer.target) == ("loss", KG, None)
    assert closing.reason == "vapour"


def test_a_gap_that_the_scales_explain_closes_as_weighing_difference(run, lot, operator):
    """d = 10 g each: U = 2 sqrt(2 (10 / (2 sqrt 3))^2) = 8.165 g (JCGM 100, 4.3.7 and 5.1.2)."""
    scale = ScaleFactory()
    load_weighed(run, lot, operator, 6 * KG, scale)
    weigh_out_on(scale, run, operator, "part", 6 * KG - 8_164, pieces=1)
    closed(run, operator)
    transfer = Posting.objects.get(kind="close").transfers.get()
    assert (transfer.role, transfer.mass_mg) == ("difference", 8_164)


def test_a_gap_just_beyond_what_the_scales_explain_must_be_named(run, lot, operator):
    scale = ScaleFactory()
    load_weighed(run, lot, operator, 6 * KG, scale)
    weigh_out_on(scale, run, operator, "part", 6 * KG - 8_166, pieces=1)
    with refused("gap"):
        closed(run, operator)


def test_closes_without_a_posting_when_nothing_is_left(run, lot, operator):
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 6 * KG, pieces=1)
    closed(run, operator)
    assert not Posting.objects.filter(kind="close").exists()
    assert Run.objects.get().state == "closed"


def test_every_charge_is_closed_and_balances(made, lot, operator):
    load(made, lot, operator, 2 * KG)
    weigh_out(made, operator, "part", 2 * KG, pieces=1)
    closed(made, operator, "vapour")
    assert [(b.is_closed, b.left_mg) for b in balances(made)] == [(True, 0), (True, 0)]


def test_refuses_to_close_a_run_without_a_load(run, operator):
    with refused("nothing-made"):
        closed(run, operator)


def test_refuses_to_close_a_charge_that_yielded_nothing(run, lot, operator):
    load(run, lot, operator, 6 * KG)
    with refused("nothing-made"):
        closed(run, operator, "vapour")


def test_refuses_to_close_twice(made, operator):
    closed(made, operator, "vapour")
    with refused("run-closed"):
        closed(made, operator, "vapour")


def test_a_repeated_closing_changes_nothing(made, operator):
    act = make_act(operator, "vapour")
    close_run(run=made, act=act)
    before = written()
    assert close_run(run=made, act=act) == made
    assert written() == before


def test_a_closed_run_takes_and_gives_nothing(made, lot, operator):
    closed(made, operator, "vapour")
    with refused("run-closed"):
        load(made, lot, operator, KG)
    with refused("run-closed"):
        weigh_out(made, operator, "part", KG, pieces=1)
    with refused("run-closed"):
        carry_over(run=made, act=make_act(operator))


def test_refuses_to_reverse_into_a_closed_charge(made, operator, lead):
    closed(made, operator, "vapour")
    loading = Posting.objects.get(kind="load")
    with refused("closed"):
        reverse_posting(posting=loading, act=make_act(lead, "wrong bin"))


# Abandoning


def test_abandoned_it_books_out_what_is_in_the_machine(made, operator):
    abandon_run(run=made, act=make_act(operator, "heater broke"))
    run = Run.objects.get()
    transfer = Posting.objects.get(kind="close").transfers.get()
    assert (run.state, run.abandon_reason) == ("abandoned", "heater broke")
    assert (transfer.role, transfer.mass_mg) == ("disposed", KG)


def test_abandons_a_run_that_was_never_loaded(run, operator):
    abandon_run(run=run, act=make_act(operator, "wrong frame"))
    assert Run.objects.get().state == "abandoned"


def test_refuses_to_abandon_without_a_reason(made, operator):
    with refused("reason"):
        abandon_run(run=made, act=make_act(operator))


def test_refuses_to_abandon_a_closed_run(made, operator):
    closed(made, operator, "vapour")
    with refused("run-closed"):
        abandon_run(run=made, act=make_act(operator, "heater broke"))


def test_a_repeated_abandoning_changes_nothing(made, operator):
    act = make_act(operator, "heater broke")
    abandon_run(run=made, act=act)
    before = written()
    assert abandon_run(run=made, act=act) == made
    assert written() == before


# Reopening


def test_reopened_it_holds_again_what_the_closing_booked(made, operator, lead):
    closed(made, operator, "vapour")
    reopen_run(run=made, act=make_act(lead, "part forgotten"))
    weigh_out(made, operator, "part", KG, pieces=1)
    closed(made, operator)
    assert Run.objects.get().state == "closed"
    assert sum(part.lot.held_mg for part in Part.objects.all()) == 6 * KG


def test_reopens_an_abandoned_run(made, operator, lead):
    abandon_run(run=made, act=make_act(operator, "heater broke"))
    reopen_run(run=made, act=make_act(lead, "heater mended"))
    assert (Run.objects.get().state, balances(made)[0].left_mg) == ("open", KG)


def test_closed_again_it_may_be_reopened_again(made, operator, lead):
    closed(made, operator, "vapour")
    reopen_run(run=made, act=make_act(lead, "part forgotten"))
    closed(made, operator, "dust")
    reopen_run(run=made, act=make_act(lead, "part found"))
    assert balances(made)[0].left_mg == KG
    assert Posting.objects.standing().filter(kind="close").count() == 0


def test_refuses_to_reopen_without_a_reason(made, operator, lead):
    closed(made, operator, "vapour")
    with refused("reason"):
        reopen_run(run=made, act=make_act(lead))


def test_refuses_to_reopen_an_open_run(made, lead):
    with refused("run-open"):
        reopen_run(run=made, act=make_act(lead, "part forgotten"))


def test_a_repeated_reopening_changes_nothing(made, operator, lead):
    closed(made, operator, "vapour")
    act = make_act(lead, "part forgotten")
    reopen_run(run=made, act=act)
    before = written()
    assert reopen_run(run=made, act=act) == made
    assert written() == before


def test_three_weighings_explain_a_gap_of_one_step(operator):
    """U = 2 sqrt(3) d / (2 sqrt(3)) = d exactly (GUM, resolution as a rectangular distribution)."""
    scale = ScaleFactory(resolution_mg=10_000)
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load_weighed(run, lot, operator, 3_600_000, scale)
    weigh_out_on(scale, run, operator, "part", 3_450_000, pieces=1)
    weigh_out_on(scale, run, operator, "offcut", 140_000, bin=BinFactory())
    close_run(run=run, act=make_act(operator))
    assert Posting.objects.get(kind="close").transfers.get().role == "difference"
