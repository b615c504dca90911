"""What is done to a lot: move, dispose, write off, hold, lift, identify."""

import pytest

from inventory.actions.lots import (
    dispose_lot,
    hold_lot,
    identify_lot,
    lift_hold,
    move_lot,
    write_off_lot,
)
from inventory.models import Change, Hold, Lot, Mass, Transfer
from inventory.queries.lots import open_lot_in
from tests.factories.book import refused, written
from tests.factories.inventory import (
    KG,
    BinFactory,
    grams,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.workshop import load, make_run
from workshop.models import Charge

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


@pytest.fixture
def unknown(operator):
    return make_delivery(operator, polymer=None, identified_by="unknown").lot


@pytest.fixture
def charge_lot(operator, lot):
    run = make_run(operator)
    load(run, lot, operator, 2 * KG)
    return Charge.objects.get().lot


def reload(lot):
    return Lot.objects.get(pk=lot.pk)


def test_moves_a_part_into_an_empty_bin(lot, operator):
    bin = BinFactory()
    move_lot(lot=lot, bin=bin, mass=grams(2500), act=make_act(operator))
    assert (reload(lot).held_mg, open_lot_in(bin).held_mg) == (7_500_000, 2_500_000)
    assert open_lot_in(bin).material == lot.material


def test_moves_all_of_it_and_leaves_the_bin_empty(lot, operator):
    bin = BinFactory()
    move_lot(lot=lot, bin=bin, act=make_act(operator))
    assert open_lot_in(lot.bin) is None
    assert open_lot_in(bin).held_mg == 10 * KG


def test_all_by_the_book_carries_the_doubt_of_every_weighing_before(lot, operator):
    bin = BinFactory()
    move_lot(lot=lot, bin=bin, mass=Mass(KG, uncertainty_ug=3000), act=make_act(operator))
    move_lot(lot=lot, bin=BinFactory(), act=make_act(operator))
    last = Transfer.objects.latest("pk")
    assert (last.basis, last.uncertainty_ug) == ("book", 3000)


def test_refuses_to_move_more_than_there_is(lot, operator):
    bin = BinFactory()
    with refused("short"):
        move_lot(lot=lot, bin=bin, mass=Mass(10 * KG + 1), act=make_act(operator))


@pytest.mark.parametrize("mass_mg", [0, -5])
def test_refuses_to_move_nothing(lot, operator, mass_mg):
    bin = BinFactory()
    with refused("mass"):
        move_lot(lot=lot, bin=bin, mass=Mass(mass_mg), act=make_act(operator))


def test_refuses_to_move_an_empty_lot(lot, operator):
    dispose_lot(lot=lot, act=make_act(operator, "burnt"))
    bin = BinFactory()
    with refused("empty"):
        move_lot(lot=lot, bin=bin, act=make_act(operator))


def test_refuses_to_move_it_to_where_it_is(lot, operator):
    with refused("same-bin"):
        move_lot(lot=lot, bin=lot.bin, act=make_act(operator))


def test_refuses_to_overfill(lot, operator):
    bin = BinFactory(capacity_mg=KG)
    with refused("overfull"):
        move_lot(lot=lot, bin=bin, mass=Mass(KG + 1), act=make_act(operator))


def test_refuses_to_move_what_is_in_a_machine(charge_lot, operator):
    bin = BinFactory()
    with refused("not-stock"):
        move_lot(lot=charge_lot, bin=bin, act=make_act(operator))


def test_refuses_to_move_what_is_on_hold(unknown, operator):
    bin = BinFactory()
    with refused("on-hold"):
        move_lot(lot=unknown, bin=bin, act=make_act(operator))


def test_decides_by_the_book_and_not_by_a_page_that_is_out_of_date(lot, operator):
    stale = reload(lot)
    dispose_lot(lot=lot, mass=grams(9000), act=make_act(operator, "burnt"))
    bin = BinFactory()
    with refused("short"):
        move_lot(lot=stale, bin=bin, mass=grams(2000), act=make_act(operator))


def test_throws_away_a_part_with_a_reason(lot, operator):
    posting = dispose_lot(lot=lot, mass=grams(300), act=make_act(operator, "burnt"))
    transfer = posting.transfers.get()
    assert (transfer.target, transfer.mass_mg, transfer.role) == (None, 300_000, "disposed")
    assert (reload(lot).held_mg, posting.reason) == (9_700_000, "burnt")


def test_throws_away_what_is_on_hold(unknown, operator):
    dispose_lot(lot=unknown, act=make_act(operator, "stinks"))
    assert reload(unknown).held_mg == 0


def test_refuses_to_throw_away_without_a_reason(lot, operator):
    with refused("reason"):
        dispose_lot(lot=lot, act=make_act(operator))


def test_refuses_to_throw_away_more_than_there_is(lot, operator):
    with refused("short"):
        dispose_lot(lot=lot, mass=Mass(10 * KG + 1), act=make_act(operator, "burnt"))


def test_refuses_to_throw_away_what_is_in_a_machine(charge_lot, operator):
    with refused("not-stock"):
        dispose_lot(lot=charge_lot, act=make_act(operator, "burnt"))


def test_refuses_to_throw_away_twice(lot, operator):
    dispose_lot(lot=lot, act=make_act(operator, "burnt"))
    with refused("empty"):
        dispose_lot(lot=lot, act=make_act(operator, "burnt"))


def test_writes_off_what_the_bin_turned_out_not_to_hold(lot, operator):
    posting = write_off_lot(lot=lot, act=make_act(operator, "found empty"))
    assert (posting.kind, posting.transfers.get().role) == ("empty", "count")
    assert reload(lot).held_mg == 0


def test_refuses_to_write_off_without_a_reason(lot, operator):
    with refused("reason"):
        write_off_lot(lot=lot, act=make_act(operator))


def test_refuses_to_write_off_nothing(lot, operator):
    write_off_lot(lot=lot, act=make_act(operator, "found empty"))
    with refused("empty"):
        write_off_lot(lot=lot, act=make_act(operator, "found empty"))


def test_refuses_to_write_off_what_is_in_a_machine(charge_lot, operator):
    with refused("not-stock"):
        write_off_lot(lot=charge_lot, act=make_act(operator, "found empty"))


def test_a_repeated_writing_off_is_one_posting(lot, operator):
    act = make_act(operator, "found empty")
    first = write_off_lot(lot=lot, act=act)
    assert write_off_lot(lot=lot, act=act) == first


def test_a_hold_and_its_lifting_keep_both_roles(lot, operator, lead):
    hold = hold_lot(lot=lot, act=make_act(operator, "smells"))
    lift_hold(hold=hold, act=make_act(lead, "was the glove"))
    hold = Hold.objects.get()
    assert (hold.placed_by, hold.placed_role, hold.reason) == (operator, "operator", "smells")
    assert (hold.lifted_by, hold.lifted_role) == (lead, "lead")
    assert (hold.lift_reason, bool(hold.lifted_at)) == ("was the glove", True)
    assert [each.verb for each in Change.objects.order_by("pk")] == ["hold", "lift"]


def test_lifted_it_can_be_moved_again(lot, operator, lead):
    hold = hold_lot(lot=lot, act=make_act(operator, "smells"))
    lift_hold(hold=hold, act=make_act(lead, "was the glove"))
    bin = BinFactory()
    move_lot(lot=lot, bin=bin, act=make_act(operator))
    assert open_lot_in(bin).held_mg == 10 * KG


def test_refuses_a_hold_without_a_reason(lot, operator):
    with refused("reason"):
        hold_lot(lot=lot, act=make_act(operator))


def test_refuses_a_second_hold(lot, operator):
    hold_lot(lot=lot, act=make_act(operator, "smells"))
    with refused("on-hold"):
        hold_lot(lot=lot, act=make_act(operator, "is sticky"))


def test_refuses_a_hold_on_nothing(lot, operator):
    dispose_lot(lot=lot, act=make_act(operator, "burnt"))
    with refused("empty"):
        hold_lot(lot=lot, act=make_act(operator, "smells"))


def test_a_repeated_hold_is_answered_with_its_own_hold(lot, operator, lead):
    act = make_act(operator, "smells")
    first = hold_lot(lot=lot, act=act)
    lift_hold(hold=first, act=make_act(lead, "aired"))
    hold_lot(lot=lot, act=make_act(operator, "is sticky"))
    assert hold_lot(lot=lot, act=act) == first
    assert Hold.objects.count() == 2


def test_refuses_to_lift_without_a_reason(lot, operator, lead):
    hold = hold_lot(lot=lot, act=make_act(operator, "smells"))
    with refused("reason"):
        lift_hold(hold=hold, act=make_act(lead))


def test_refuses_to_lift_twice(lot, operator, lead):
    hold = hold_lot(lot=lot, act=make_act(operator, "smells"))
    lift_hold(hold=hold, act=make_act(lead, "aired"))
    with refused("not-held"):
        lift_hold(hold=hold, act=make_act(lead, "aired"))


def test_a_repeated_lifting_changes_nothing(lot, operator, lead):
    hold, act = hold_lot(lot=lot, act=make_act(operator, "smells")), make_act(lead, "aired")
    lift_hold(hold=hold, act=act)
    before = written()
    assert lift_hold(hold=hold, act=act) == hold
    assert written() == before


def identify(lot, by, symbol="PP", reason="floats", identified_by="float-sink"):
    fields = {"polymer": polymer(symbol), "identified_by": identified_by}
    return identify_lot(lot=lot, act=make_act(by, reason), **fields)


def test_identified_it_stays_on_hold_until_lifted(unknown, lead):
    identify(unknown, lead)
    assert reload(unknown).polymer.symbol == "PP"
    assert unknown.holds.open().count() == 1


def test_refuses_to_identify_without_a_reason(unknown, lead):
    with refused("reason"):
        identify(unknown, lead, reason="")


def test_refuses_to_identify_by_unknown_means(unknown, lead):
    with refused("identity"):
        identify(unknown, lead, identified_by="unknown")


def test_refuses_to_identify_what_is_known(lot, lead):
    with refused("known"):
        identify(lot, lead)


def test_turning_out_to_be_reject_material_puts_it_on_hold_again(unknown, lead):
    lift_hold(hold=unknown.holds.get(), act=make_act(lead, "seen"))
    identify(unknown, lead, symbol="PVC-U")
    assert "PVC-U" in unknown.holds.open().get().reason


def test_a_repeated_identifying_changes_nothing(unknown, lead):
    act = make_act(lead, "floats")
    fields = {"polymer": polymer("PP"), "identified_by": "float-sink", "act": act}
    identify_lot(lot=unknown, **fields)
    before = written()
    assert identify_lot(lot=unknown, **fields) == unknown
    assert written() == before


def test_a_move_asks_the_database_little(operator, lot, django_assert_max_num_queries):
    bin, act = BinFactory(), make_act(operator)
    with django_assert_max_num_queries(11):  # nine on PostgreSQL, and the savepoint of a test
        move_lot(lot=lot, bin=bin, act=act, mass=Mass(1000))


def test_a_bin_kept_for_a_material_costs_a_move_no_more(
    operator, lot, django_assert_max_num_queries
):
    bin, act = BinFactory(polymer=lot.polymer, colour=lot.colour), make_act(operator)
    with django_assert_max_num_queries(11):
        move_lot(lot=lot, bin=bin, act=act, mass=Mass(1000))
