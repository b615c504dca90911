"""A visit: a piece each by two taps, no mass before the end, then all masses in one act."""

from uuid import uuid4

import pytest

from inventory.actions.holds import place_hold
from inventory.actions.lots import dispose_lot, move_lot, write_off_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Change, Mass, Posting
from inventory.queries.drafts import Fix
from inventory.queries.lots import open_lot_in
from inventory.queries.verification import first_fault
from products.models import Part, Passport
from tests.factories.book import refused
from tests.factories.counts import count
from tests.factories.inventory import (
    KG,
    BinFactory,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.mendings import make_fix, mend
from tests.factories.visits import (
    drawn_of,
    make_piece,
    make_token_design,
    make_visit,
    settle,
    visit_with_pieces,
)
from tests.factories.workshop import MachineFactory, load, make_run
from tests.kept import kept
from workshop.actions.charges import Portion, load_run
from workshop.actions.machines import log_purge
from workshop.actions.settlements import Drawn
from workshop.actions.visits import abandon_visit, end_piece, start_piece, start_visit, undo_start
from workshop.actions.yields import Outcome
from workshop.models import Piece, Run, Visit

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def visit(operator):
    return visit_with_pieces(operator, 3)[0]


@pytest.fixture
def lot(visit):
    return visit.pieces.first().lot


def start(visit, lot, by):
    return start_piece(visit=visit, lot=lot, act=make_act(by))


def fresh(row):
    return type(row).objects.get(pk=row.pk)


@pytest.mark.parametrize(
    "fields", [{"made_by": "press"}, {"tracked": "bag"}, {"pieces_per_cycle": 2}]
)
def test_a_visit_needs_a_design_that_gives_each_person_one_piece(operator, fields):
    design, machine = make_token_design(**fields), MachineFactory(kind="injection")
    with refused("wrong-design"):
        start_visit(design=design, machine=machine, act=make_act(operator))


def test_a_visit_needs_an_injection_machine(operator):
    design, machine = make_token_design(), MachineFactory(kind="press")
    with refused("wrong-machine"):
        start_visit(design=design, machine=machine, act=make_act(operator))


def test_a_machine_has_one_visit_at_a_time(operator, visit):
    with refused("machine-busy"):
        start_visit(design=visit.design, machine=visit.machine, act=make_act(operator))


def test_labels_need_an_address_before_the_first_piece(operator, settings):
    settings.SITE_URL = "nowhere"
    design, machine = make_token_design(), MachineFactory(kind="injection")
    with refused("site-url"):
        start_visit(design=design, machine=machine, act=make_act(operator))


def test_pieces_move_no_mass_before_the_end(visit, lot):
    assert fresh(lot).held_mg == 10 * KG
    assert Posting.objects.exclude(kind="receive").count() == 0


def test_one_piece_runs_at_a_time(operator, visit, lot):
    start(visit, lot, operator)
    with refused("running"):
        start(visit, lot, operator)


def test_repeated_taps_count_once(operator, visit, lot):
    begun, done = make_act(operator), make_act(operator)
    assert start_piece(visit=visit, lot=lot, act=begun) == start_piece(
        visit=visit, lot=lot, act=begun
    )
    assert end_piece(visit=visit, act=done) == end_piece(visit=visit, act=done)
    assert Piece.objects.made().count() == 4


def test_nothing_is_ended_or_taken_back_before_a_start(operator, visit):
    for act_on in (end_piece, undo_start):
        with refused("no-piece"):
            act_on(visit=visit, act=make_act(operator))


def test_a_start_that_is_taken_back_leaves_no_piece_and_a_clean_machine(operator):
    _bin, lot = make_full_bin(operator)
    visit = make_visit(operator)
    start(visit, lot, operator)
    undo_start(visit=visit, act=make_act(operator))
    assert not Piece.objects.running().exists()
    assert fresh(visit.machine).last_polymer is None


def test_another_polymer_asks_for_a_purge(operator, visit):
    _bin, other = make_full_bin(operator, polymer="PP")
    with refused("needs-purge"):
        start(visit, other, operator)


def test_held_plastic_makes_no_piece(operator, visit, lot):
    place_hold(lot, "smells", make_act(operator))
    with refused("on-hold"):
        start(visit, lot, operator)


def test_unknown_plastic_makes_no_piece(operator, visit):
    _bin, lot = make_full_bin(operator, polymer=None, identified_by="unknown")
    with refused("on-hold"):
        start(visit, lot, operator)


def test_a_polymer_that_the_design_does_not_allow_makes_no_piece(operator, visit, lot):
    visit.design.polymers.add(polymer("PP"))
    with refused("polymer-mismatch"):
        start(visit, lot, operator)


def test_whole_items_cannot_be_injected(operator, visit):
    _bin, lot = make_full_bin(operator, form="whole")
    with refused("not-ready"):
        start(visit, lot, operator)


def test_plastic_on_the_floor_is_not_offered(operator, visit):
    lot = make_delivery(operator).lot
    with refused("no-bin"):
        start(visit, lot, operator)


def test_pieces_made_already_count_against_the_book(operator):
    _bin, lot = make_full_bin(operator, net_mg=30_000)
    visit = make_visit(operator)
    make_piece(visit, lot, operator)
    with refused("short"):
        start(visit, lot, operator)


def test_settling_makes_each_piece_a_part_with_the_code_on_its_label(operator, visit, lot):
    settle(visit, operator, drawn_of(lot, 61_000))
    codes = set(visit.pieces.values_list("code", flat=True))
    assert {part.code for part in Part.objects.all()} == codes
    assert sorted(Part.objects.values_list("lot__in_mg", flat=True)) == [20_333, 20_333, 20_334]
    assert set(visit.pieces.values_list("part__code", flat=True)) == codes
    assert Passport.objects.count() == 3


def test_a_settled_book_balances_to_the_milligram(operator, visit, lot):
    settle(visit, operator, drawn_of(lot, 65_000, lost_mg=4_000), reason="drips")
    assert fresh(lot).held_mg == 10 * KG - 65_000
    assert sum(Part.objects.values_list("lot__in_mg", flat=True)) == 61_000
    assert first_fault() is None


def test_a_reading_afterwards_tells_what_was_drawn(operator, visit, lot):
    drawn = Drawn(bin=lot.bin, remaining=Mass(10 * KG - 60_000))
    settle(visit, operator, drawn)
    assert list(Part.objects.values_list("lot__in_mg", flat=True)) == [20_000] * 3


def test_offcuts_go_into_a_bin_and_not_into_the_pieces(operator, visit, lot):
    bin = BinFactory()
    settle(visit, operator, drawn_of(lot, 70_000, offcut=Outcome("offcut", Mass(10_000), bin=bin)))
    assert open_lot_in(bin).held_mg == 10_000
    assert sum(Part.objects.values_list("lot__in_mg", flat=True)) == 60_000


def test_two_polymers_with_a_purge_between_settle_in_one_run(operator, visit, lot):
    log_purge(machine=visit.machine, act=make_act(operator, "run empty"))
    _bin, other = make_full_bin(operator, polymer="PP", colour="white")
    make_piece(visit, other, operator)
    settle(visit, operator, drawn_of(lot, 60_000), drawn_of(other, 21_000))
    assert Run.objects.get().charges.count() == 2
    assert fresh(visit.machine).last_polymer.symbol == "PP"
    assert first_fault() is None


def test_a_repeated_settlement_books_once_and_other_content_is_refused(operator, visit, lot):
    key = uuid4()
    settle(visit, operator, drawn_of(lot, 60_000), key=key)
    assert settle(visit, operator, drawn_of(lot, 60_000), key=key).run == Run.objects.get()
    with refused("key-reused"):
        settle(visit, operator, drawn_of(lot, 61_000), key=key)


@pytest.mark.parametrize(
    ("mass_mg", "code"), [(11 * KG, "over-book"), (30_000, "too-little"), (90_000, "too-much")]
)
def test_an_impossible_mass_is_refused_with_the_name_of_its_bin(
    operator, visit, lot, mass_mg, code
):
    with refused(code) as why:
        settle(visit, operator, drawn_of(lot, mass_mg))
    assert lot.bin.name in why.value.messages[0]


def test_a_bin_that_shows_more_than_the_book_is_refused_by_name(operator, visit, lot):
    with refused("over-book") as why:
        settle(visit, operator, Drawn(bin=lot.bin, remaining=Mass(11 * KG)))
    assert lot.bin.name in why.value.messages[0]


def test_a_second_bin_that_is_impossible_undoes_the_first(operator, visit, lot):
    _bin, other = make_full_bin(operator, colour="white")
    make_piece(visit, other, operator)
    with refused("too-little") as why:
        settle(visit, operator, drawn_of(lot, 60_000), drawn_of(other, 1_000))
    assert other.bin.name in why.value.messages[0]


def test_each_bin_used_is_told_of(operator, visit):
    with refused("which-bins"):
        settle(visit, operator)


def test_a_loss_needs_a_reason(operator, visit, lot):
    with refused("reason"):
        settle(visit, operator, drawn_of(lot, 65_000, lost_mg=5_000))


def test_purging_that_is_thrown_away_needs_a_reason(operator, visit, lot):
    with refused("reason"):
        settle(visit, operator, drawn_of(lot, 70_000, purging=Outcome("purging", Mass(10_000))))


def test_nothing_is_settled_while_a_piece_runs(operator, visit, lot):
    start(visit, lot, operator)
    with refused("running"):
        settle(visit, operator, drawn_of(lot, 80_000))


def test_a_visit_without_pieces_is_abandoned_instead(operator):
    visit = make_visit(operator)
    with refused("nothing-made"):
        settle(visit, operator)


def test_a_hold_in_between_stops_the_settlement(operator, visit, lot):
    place_hold(lot, "smells", make_act(operator))
    with refused("on-hold"):
        settle(visit, operator, drawn_of(lot, 60_000))


def test_a_visit_is_abandoned_with_a_reason_only(operator, visit):
    with refused("reason"):
        abandon_visit(visit=visit, act=make_act(operator))


def test_an_abandoned_visit_is_over_and_books_nothing(operator, visit, lot):
    start(visit, lot, operator)
    abandon_visit(visit=visit, act=make_act(operator, "power cut"))
    assert (fresh(visit).state, Part.objects.count(), Run.objects.count()) == ("abandoned", 0, 0)
    with refused("visit-ended"):
        start(visit, lot, operator)


def test_each_act_is_written_down(visit):
    verbs = Change.objects.values_list("verb", flat=True)
    assert {"start visit", "start piece", "end piece"} <= set(verbs)
    assert Visit.objects.get().state == "open"


def test_a_fill_is_spoken_for_until_its_pieces_are_settled(operator, visit, lot):
    assert fresh(lot).spoken_for_mg == 60_000
    settle(visit, operator, drawn_of(lot, 60_000))
    assert fresh(lot).spoken_for_mg is None


@pytest.mark.parametrize("end", ["abandon", "take back"])
def test_pieces_that_never_become_parts_free_their_fill(operator, end):
    _bin, lot = make_full_bin(operator)
    visit = make_visit(operator)
    start(visit, lot, operator)
    assert fresh(lot).spoken_for_mg == 20_000
    if end == "abandon":
        abandon_visit(visit=visit, act=make_act(operator, "power cut"))
    else:
        undo_start(visit=visit, act=make_act(operator))
    assert fresh(lot).spoken_for_mg is None


def test_two_visits_speak_for_one_fill_apart(operator, visit, lot):
    other = make_visit(operator)
    make_piece(other, lot, operator)
    assert fresh(lot).spoken_for_mg == 80_000
    settle(visit, operator, drawn_of(lot, 60_000))
    assert fresh(lot).spoken_for_mg == 20_000
    settle(other, operator, drawn_of(lot, 20_000))
    assert first_fault() is None


def others_that_take(lot, by):
    """Return every other act that would take what pieces were made of, or more than is left of it."""
    run, bin, source = make_run(by, "granulate"), BinFactory(), make_delivery(by).source
    received, all_but = lot.filled_by, Portion(lot, None, remaining=Mass(9 * KG))
    return [
        lambda: make_delivery(by, bin=lot.bin, source=source),
        lambda: count(lot.bin, 9_900_000, by, "scooped"),
        lambda: move_lot(lot=lot, bin=bin, act=make_act(by)),
        lambda: dispose_lot(lot=lot, act=make_act(by, "wet")),
        lambda: write_off_lot(lot=lot, act=make_act(by, "empty")),
        lambda: reverse_posting(posting=received, act=make_act(by, "wrong bin")),
        lambda: mend(by, Fix(received, is_out=True)),
        lambda: mend(by, make_fix(received, 0.059999)),
        lambda: load(run, lot, by),
        lambda: load_run(run=run, portion=all_but, act=make_act(by), is_confirmed=True),
    ]


@pytest.mark.parametrize("number", range(10))
def test_nothing_makes_an_open_visit_impossible_to_settle(lead, visit, lot, number):
    lot = fresh(lot)
    act_on = others_that_take(lot, lead)[number]
    with refused("spoken-for") as why:
        act_on()
    assert lot.bin.name in why.value.messages[0]
    settle(visit, lead, drawn_of(lot, 60_000))
    assert first_fault() is None


def test_what_is_not_spoken_for_may_be_moved_and_loaded(operator, visit, lot):
    move_lot(lot=lot, bin=BinFactory(), act=make_act(operator), mass=Mass(10 * KG - 60_000))
    settle(visit, operator, drawn_of(lot, 60_000))
    assert fresh(lot).held_mg == 0
