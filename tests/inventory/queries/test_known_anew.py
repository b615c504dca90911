"""Lots of which the book learned better, held against a walk by networkx over the transfers of then."""

import networkx as nx
import pytest

from inventory.actions.lots import identify_lot, lift_hold, move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Lot, Posting, Transfer
from inventory.queries.known_anew import known_anew
from inventory.queries.lots import open_lot_in
from tests.factories.inventory import (
    KG,
    BinFactory,
    grams,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.mendings import make_fix, mend

pytestmark = pytest.mark.django_db


def move(lot, bin, by, mg=KG):
    return move_lot(lot=lot, bin=bin, mass=grams(mg // 1000), act=make_act(by))


def known_by_networkx():
    """Each mending starts at the ends of what it booked; its walk takes what was booked up to then."""
    undone = set(Transfer.objects.exclude(reverses=None).values_list("reverses", flat=True))
    rows = Transfer.objects.filter(reverses=None, source__isnull=False, target__isnull=False)
    rows = [row for row in rows.select_related("posting") if row.pk not in undone]
    found = {}
    for posting in Posting.objects.exclude(reverses=None, replaces=None).order_by("pk"):
        until = posting.recorded_at
        then = [row for row in rows if row.posting.recorded_at <= until]
        graph = nx.DiGraph([(row.source_id, row.target_id) for row in then])
        for row in posting.transfers.all():
            for lot in {row.source_id, row.target_id} - {None}:
                ahead = nx.descendants(graph, lot) if lot in graph else set()
                found |= dict.fromkeys({lot, *ahead}, until)
    return found


def test_a_book_without_a_mending_knows_nothing_anew(operator):
    make_full_bin(operator)
    assert known_anew() == {}


def test_what_was_made_after_a_mending_is_left_out(operator):
    _bin, lot = make_full_bin(operator)
    before, after = BinFactory(), BinFactory()
    move(lot, before, operator)
    mistake = move(lot, BinFactory(), operator)
    reverse_posting(posting=mistake, act=make_act(operator, "wrong bin"))
    move(lot, after, operator)
    found = known_anew()
    assert open_lot_in(before).pk in found
    assert open_lot_in(after).pk not in found
    assert found == known_by_networkx()


def test_a_correction_through_lots_that_gave_reaches_all_that_is_ahead_of_it(operator, lead):
    bin, lot = make_full_bin(operator)
    loaded = move(lot, BinFactory(), operator, 4 * KG)
    fill = loaded.transfers.get().target
    move(fill, BinFactory(), operator)
    last = move(fill, BinFactory(), operator).transfers.get().target
    head = mend(lead, make_fix(loaded, 5))
    move(fill, BinFactory(), operator)
    found = known_anew()
    assert found[last.pk] == head.recorded_at
    assert found == known_by_networkx()


def test_two_mendings_leave_each_lot_the_moment_of_the_later_one(operator, lead):
    _bin, lot = make_full_bin(operator)
    first = move(lot, BinFactory(), operator, 4 * KG)
    fill = first.transfers.get().target
    one = mend(lead, make_fix(first, 5))
    new = open_lot_in(fill.bin)
    second = move(new, BinFactory(), operator, 2 * KG)
    two = mend(lead, make_fix(second, 1))
    found = known_anew()
    assert found[second.transfers.get().target_id] == two.recorded_at > one.recorded_at
    assert found == known_by_networkx()


def test_a_lot_that_is_identified_later_is_known_anew(operator, lead):
    """Nothing is made of what nobody knows, so the lot is all there is; what was made since counts too."""
    unknown = make_delivery(operator, polymer=None, identified_by="unknown").lot
    identify_lot(
        lot=unknown, polymer=polymer("PP"), identified_by="float", act=make_act(lead, "floats")
    )
    for hold in unknown.holds.open():
        lift_hold(hold=hold, act=make_act(lead, "known now"))
    bin = BinFactory(polymer=polymer("PP"), colour=unknown.colour)
    move(Lot.objects.get(pk=unknown.pk), bin, operator)
    assert known_anew().keys() == {unknown.pk, open_lot_in(bin).pk}


def test_the_whole_book_takes_three_statements(operator, django_assert_num_queries):
    _bin, lot = make_full_bin(operator)
    for _each in range(3):
        reverse_posting(posting=move(lot, BinFactory(), operator), act=make_act(operator, "no"))
    with django_assert_num_queries(3):
        known_anew()
