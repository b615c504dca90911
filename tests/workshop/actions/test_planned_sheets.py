"""A run is opened for sheets in stock, each of which one open run at most is to cut."""

from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.actions.lots import hold_lot
from products.actions.bags import divide_bag
from products.actions.fixings import put_in, swap_part
from products.actions.nested_plans import NestAsk, make_nested_plan
from products.actions.parts import hand_over_part
from products.calculations.nestings import Shape
from products.models import Fixing, Handover, Part
from tests.factories.book import refused
from tests.factories.cutting import cut_run, make_boards, saw
from tests.factories.fixings import made, stool_design
from tests.factories.inventory import make_act
from tests.factories.nestings import HOOK, question
from tests.factories.workshop import DesignFactory, MachineFactory, load, make_run
from tests.kept import kept
from workshop.actions.planned_sheets import LONGEST_ADDRESS, MOST_PLANNED
from workshop.actions.runs import RunPlan, abandon_run, open_run
from workshop.models import PlannedSheet
from workshop.queries.planned_sheets import taken_from

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def boards(operator):
    return make_boards(operator)


def test_a_run_keeps_the_sheets_that_it_was_opened_for(operator, boards):
    run = cut_run(operator, *boards)
    assert [(row.part, row.pieces) for row in run.planned_sheets.all()] == [
        (boards[0], 1),
        (boards[1], 1),
    ]


def test_a_sheet_that_another_open_run_is_to_cut_is_refused(operator, boards):
    first = cut_run(operator, boards[0])
    with refused("spoken-for") as refusal:
        cut_run(operator, boards[1], boards[0])
    assert first.number in refusal.value.messages[0]
    assert PlannedSheet.objects.count() == 1


def test_a_run_that_ended_speaks_for_nothing(operator, boards):
    abandon_run(run=cut_run(operator, boards[0]), act=make_act(operator, "blade broke"))
    cut_run(operator, boards[0])


def test_of_a_bag_several_runs_may_have_some(operator):
    (bag,) = make_boards(operator, 1)
    bag.pieces = 3
    bag.save()
    cut_run(operator, (bag, 2))
    with refused("spoken-for"):
        cut_run(operator, (bag, 2))
    cut_run(operator, (bag, 1))
    with refused("not-in-stock"):
        cut_run(operator, (bag, 4))


def test_what_is_gone_away_or_on_hold_is_refused(operator, boards):
    held, away = boards
    hold_lot(lot=held.lot, act=make_act(operator, "cracked"))
    hand_over_part(part=away, act=make_act(operator))
    (gone,) = make_boards(operator, 1)
    load(make_run(operator, "granulate"), gone.lot, operator)
    for sheet in (held, away, gone):
        with refused("not-in-stock"):
            cut_run(operator, sheet)


def test_only_a_run_that_cuts_is_opened_for_sheets_and_only_for_those(operator, boards):
    bend = {"machine": MachineFactory(kind="forming"), "design": DesignFactory(made_by="form")}
    with refused("no-sheets"):
        make_run(operator, "form", sheets=((boards[0], 1),), **bend)
    (hook,) = make_boards(operator, 1)
    hook.design.form = "part"
    with refused("no-sheets"):
        cut_run(operator, hook)
    with refused("too-many"):
        cut_run(operator, (boards[0], MOST_PLANNED + 1))


def test_a_repeat_opens_nothing_and_other_sheets_under_its_id_are_refused(operator, boards):
    plan = {"operation": "cut", "machine": MachineFactory(kind="cutter")}
    plan |= {"design": DesignFactory(made_by="cut", form="part")}
    act = make_act(operator, key=uuid4())
    first = open_run(plan=RunPlan(**plan, sheets=((boards[0], 1),)), act=act)
    assert open_run(plan=RunPlan(**plan, sheets=((boards[0], 1),)), act=act) == first
    for others in ((), ((boards[1], 1),), ((boards[0], 2),)):
        with refused("key-reused"):
            open_run(plan=RunPlan(**plan, sheets=others), act=act)
    assert PlannedSheet.objects.count() == 1


def test_a_run_without_sheets_is_fingerprinted_as_ever(operator):
    plan = RunPlan(operation="cut", machine=MachineFactory(kind="cutter"))
    assert "sheets" not in plan.plain()


def test_loading_what_another_run_is_to_cut_is_asked_back_but_nobody_is_kept_from_it(
    operator, boards
):
    first = cut_run(operator, boards[0])
    other = make_run(operator, "cut")
    with refused("surprising") as refusal:
        load(other, boards[0].lot, operator, is_confirmed=False)
    assert first.number in refusal.value.messages[0]
    taken = load(other, boards[0].lot, operator, is_confirmed=True)
    assert [claim.label for claim in taken_from(taken)] == [first.number]


def test_whose_sheet_was_taken_is_told_alike_whatever_happens_later(operator, boards):
    first, other = cut_run(operator, *boards), make_run(operator, "cut")
    load(first, boards[1].lot, operator)
    taken = load(other, boards[0].lot, operator)
    abandon_run(run=first, act=make_act(operator, "blade broke"))
    own = first.charges.get().loads.get()
    assert [claim.label for claim in taken_from(taken)] == [first.number]
    assert taken_from(own) == []


def test_a_sheet_that_a_run_is_to_cut_is_handed_over_only_when_that_is_known(operator, boards):
    first = cut_run(operator, boards[0])
    with refused("surprising") as refusal:
        hand_over_part(part=boards[0], act=make_act(operator))
    assert first.number in refusal.value.messages[0]
    assert not Handover.objects.exists()
    hand_over_part(part=boards[1], act=make_act(operator))
    hand_over_part(part=boards[0], act=make_act(operator), is_confirmed=True)
    assert Handover.objects.count() == 2


def test_its_own_sheet_and_a_free_one_are_not_asked_back(operator, boards):
    run = cut_run(operator, boards[0])
    for board in boards:
        load(run, board.lot, operator, is_confirmed=False)


def test_of_a_bag_only_the_pieces_that_are_spoken_for_are_asked_back(operator):
    (bag,) = make_boards(operator, 1)
    bag.pieces = 4
    bag.save()
    cut_run(operator, (bag, 2))
    other = make_run(operator, "cut")
    with refused("surprising"):
        load(other, bag.lot, operator, pieces=3, is_confirmed=False)
    free = load(other, bag.lot, operator, pieces=2, is_confirmed=False)
    taken = load(other, bag.lot, operator, pieces=1)
    assert (taken_from(free), [claim.pieces for claim in taken_from(taken)]) == ([], [2])


@pytest.mark.parametrize(
    "address",
    [
        "https://elsewhere.invalid/cut-plans/new/?kerf=3",
        "//elsewhere.invalid/cut-plans/new/?kerf=3",
        "javascript:alert(1)",
        "/runs/",
        "/cut-plans/new/",
        "/cut-plans/nested/7/",
        "/no-such-page/?kerf=3",
        "/cut-plans/new/?" + "a" * LONGEST_ADDRESS,
    ],
)
def test_a_cutting_list_is_a_plan_of_ours(operator, address):
    saw()
    with refused("no-plan"):
        cut_run(operator, cutting_list=address)


def test_only_a_run_that_cuts_has_a_cutting_list(operator):
    press = {"machine": MachineFactory(kind="press"), "design": DesignFactory()}
    with refused("no-plan"):
        make_run(operator, "press", cutting_list="/cut-plans/new/?kerf=3", **press)
    run = cut_run(operator, cutting_list="/cut-plans/new/?kerf=3")
    assert run.cutting_list == "/cut-plans/new/?kerf=3"


def test_a_nested_plan_that_is_kept_is_a_cutting_list(operator):
    facts = {"polymer": "PE-HD", "colour": "", "thickness_um": 10_000, "seconds": 1}
    hooks = question(Shape("hook", HOOK, 2, "half"))
    ask = NestAsk(hooks, density_g_cm3=Decimal("0.955"), **facts)
    plan = make_nested_plan(ask=ask, act=make_act(operator))
    assert cut_run(operator, cutting_list=plan.get_absolute_url()).cutting_list


def test_a_sheet_that_a_run_is_to_cut_is_put_in_only_when_that_is_known(operator, lead, boards):
    first = cut_run(operator, boards[0])
    stool = made(operator, stool_design(lead, boards[0].design))
    with refused("surprising") as refusal:
        put_in(holder=stool, part=boards[0], act=make_act(operator))
    assert first.number in refusal.value.messages[0]
    put_in(holder=stool, part=boards[1], act=make_act(operator))
    with refused("surprising"):
        swap_part(part=boards[1], new=boards[0], act=make_act(operator), state="worn")
    assert [fixing.part for fixing in Fixing.objects.all()] == [boards[1]]
    put_in(holder=stool, part=boards[0], act=make_act(operator), is_confirmed=True)


def test_of_a_bag_only_sheets_that_a_run_would_miss_are_asked_back(operator, lead):
    (bag,) = make_boards(operator, 1)
    bag.pieces = 6
    bag.save()
    cut_run(operator, (bag, 3))
    stool = made(operator, stool_design(lead, bag.design))
    put_in(holder=stool, part=bag, act=make_act(operator), pieces=1)
    divide_bag(bag=bag, pieces=2, act=make_act(operator))
    with refused("surprising"):
        divide_bag(bag=bag, pieces=1, act=make_act(operator))
    with refused("surprising"):
        put_in(holder=stool, part=bag, act=make_act(operator), pieces=1)
    assert Part.objects.filter(bag=bag).count() == 2
    divide_bag(bag=bag, pieces=1, act=make_act(operator), is_confirmed=True)
