"""Parts put together, bags divided, visits settled, sheets cut and runs started by many tablets at once."""

from functools import partial

import pytest

from inventory.actions.lots import hold_lot
from inventory.models import Lot, Mass
from inventory.queries.verification import first_fault
from products.actions.bags import divide_bag
from products.actions.fixings import put_in, swap_part, take_out
from products.actions.parts import hand_over_part
from products.calculations.sheet_sizes import Size
from products.models import Fixing, Handover, Part
from tests.factories.cutting import cut_run, make_boards, saw
from tests.factories.fixings import bag_of, clip_design, made, stool_design
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.plans import make_question
from tests.factories.visits import drawn_of, settle, visit_with_pieces
from tests.factories.workshop import DesignFactory, load, make_part, make_run
from tests.race.test_races import at_once, postings, refusals
from workshop.actions.plans import start_planned_run
from workshop.actions.visits import abandon_visit, start_piece
from workshop.actions.yields import Outcome, yield_from_run
from workshop.models import Plan, PlannedSheet, Run
from workshop.queries.plans import plan_for
from workshop.queries.visits import spoken_for_mg

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

TABLETS = 8


def inside(part):
    return Fixing.objects.open().filter(part=part).count()


def test_one_part_goes_into_one_holder(lead, operator):
    clip = clip_design()
    stool = stool_design(lead, clip)
    loose, stools = made(operator, clip), [made(operator, stool) for _ in range(TABLETS)]
    calls = [partial(put_in, holder=each, part=loose, act=make_act(operator)) for each in stools]
    answers = at_once(*calls)
    assert (len(postings(answers)), refusals(answers)) == (1, {"fixed"})
    assert inside(loose) == 1


def test_put_in_taken_out_swapped_and_handed_over_at_once(lead, operator):
    clip = clip_design()
    stool = made(operator, stool_design(lead, clip))
    old, new, other = (made(operator, clip) for _ in range(3))
    put_in(holder=stool, part=old, act=make_act(operator))
    answers = at_once(
        *[partial(take_out, part=old, act=make_act(operator)) for _ in range(3)],
        *[partial(swap_part, part=old, new=each, act=make_act(operator)) for each in (new, other)],
        partial(hand_over_part, part=stool, act=make_act(operator)),
        partial(hand_over_part, part=new, act=make_act(operator)),
        partial(hold_lot, lot=old.lot, act=make_act(operator, "cracked")),
    )
    assert postings(answers)
    open_ones = Fixing.objects.open()
    assert len({each.part_id for each in open_ones}) == len(open_ones) <= 1
    assert first_fault() is None
    for each in Part.objects.all():
        bound = open_ones.filter(part=each).exists() or open_ones.filter(holder=each).exists()
        assert bound == (Lot.objects.get(pk=each.lot_id).assembled_at is not None), each
    out = set(Handover.objects.filter(back_at=None).values_list("part", flat=True))
    assert not out & {each.part_id for each in open_ones}


def test_a_bag_gives_each_piece_once(operator):
    bag = bag_of(operator, clip_design(), 10)
    answers = at_once(
        *[partial(divide_bag, bag=bag, pieces=3, act=make_act(operator)) for _ in range(TABLETS)]
    )
    assert (len(postings(answers)), refusals(answers)) == (3, {"pieces"})
    assert sum(each.pieces_left for each in Part.objects.all()) == 10
    assert first_fault() is None


def test_a_bag_is_divided_while_its_pieces_go_in(lead, operator):
    clip = clip_design()
    bag = bag_of(operator, clip, 10)
    stool = stool_design(lead, clip)
    stools = [made(operator, stool) for _ in range(4)]
    answers = at_once(
        *[partial(put_in, holder=each, part=bag, act=make_act(operator)) for each in stools],
        *[partial(divide_bag, bag=bag, pieces=2, act=make_act(operator)) for _ in range(3)],
        partial(load, make_run(operator, "granulate"), bag.lot, operator),
    )
    assert postings(answers)
    assert first_fault() is None
    assert sum(each.pieces_left for each in Part.objects.filter(design=clip)) <= 10


def test_a_kept_piece_is_loaded_once(operator):
    board = DesignFactory(name="Board", length_um=1_000_000, width_um=500_000)
    sheet = make_part(operator, make_full_bin(operator)[1], 4 * KG, board)
    run = make_run(operator, "cut")
    load(run, sheet.lot, operator)
    half = Size(500_000, 500_000)
    yield_from_run(
        run=run, outcome=Outcome("kept", Mass(2 * KG), 1, size=half), act=make_act(operator)
    )
    piece = Part.objects.latest("pk")
    runs = [make_run(operator, "cut") for _ in range(TABLETS)]
    answers = at_once(*[partial(load, each, piece.lot, operator) for each in runs])
    assert len(postings(answers)) == 1, answers
    assert first_fault() is None


def test_sheets_are_spoken_for_by_one_run(operator):
    first, second, third = make_boards(operator, 3)
    saw()
    pairs = [(first, second), (second, third), (third, first)]
    answers = at_once(*[partial(cut_run, operator, *pair) for pair in pairs * 3])
    assert (len(postings(answers)), refusals(answers)) == (1, {"spoken-for"})
    assert PlannedSheet.objects.count() == 2


def test_a_plan_sent_twice_starts_one_run(operator):
    make_full_bin(operator)
    question = make_question()
    token, act = plan_for(question).token, make_act(operator)
    answers = at_once(
        *[
            partial(start_planned_run, question=question, token=token, act=act)
            for _ in range(TABLETS)
        ]
    )
    assert len({each.pk for each in answers}) == 1
    assert (Plan.objects.count(), Run.objects.count()) == (1, 1)


def test_visits_are_settled_while_their_bins_are_loaded_and_started_from(operator):
    visit, lot = visit_with_pieces(operator)
    runs = [make_run(operator, "granulate") for _ in range(4)]
    answers = at_once(
        *[partial(settle, visit, operator, drawn_of(lot, 60_000)) for _ in range(2)],
        *[partial(load, run, lot, operator, 3 * KG) for run in runs],
        partial(abandon_visit, visit=visit, act=make_act(operator, "too late")),
        partial(start_piece, visit=visit, lot=lot, act=make_act(operator)),
    )
    assert refusals(answers) <= {
        *("running", "visit-ended", "spoken-for", "nothing-made", "short"),
    }
    lot.refresh_from_db()
    assert lot.held_mg >= spoken_for_mg(lot) == (lot.spoken_for_mg or 0)
    assert first_fault() is None
