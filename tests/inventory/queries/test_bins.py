"""Which bins a lot fits into, and what the board asks."""

import itertools

import pytest
from django.db import connection
from django.utils import timezone

from inventory.actions.lots import hold_lot
from inventory.calculations.codes import ALPHABET
from inventory.models import Lot
from inventory.queries.bins import (
    bin_board,
    bin_cards,
    bin_named,
    bin_offers,
    contents_of,
    fitting_bins,
)
from tests.factories.inventory import (
    KG,
    BinFactory,
    colour,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)


@pytest.fixture
def lot(operator):
    """Ten kilograms of blue PE-HD on the floor."""
    return make_delivery(operator).lot


def test_bins_that_fit_come_in_order_of_fit(operator, lot):
    empty = BinFactory(name="A")
    kept = BinFactory(name="B", polymer=polymer("PE-HD"))
    mixed, _lot = make_full_bin(
        operator, colour="red", bin_fields={"name": "C", "colour": colour("mixed")}
    )
    same, _lot = make_full_bin(operator, bin_fields={"name": "D"})
    assert [(bin, bin.fit) for bin in fitting_bins(lot)] == [
        (same, 1),
        (mixed, 2),
        (kept, 3),
        (empty, 4),
    ]


@pytest.mark.parametrize(
    "bin_fields",
    [
        {"polymer": "PP"},
        {"colour": "red"},
        {"retired_at": "2026-01-01T00:00Z"},
    ],
)
def test_bins_kept_for_something_else_or_retired_are_left_out(lot, bin_fields):
    named = {"polymer": polymer, "colour": colour}
    BinFactory(**{name: named.get(name, str)(text) for name, text in bin_fields.items()})
    assert fitting_bins(lot) == []


def test_bins_with_another_polymer_or_colour_inside_are_left_out(operator, lot):
    make_full_bin(operator, polymer="PP")
    make_full_bin(operator, colour="red")
    assert fitting_bins(lot) == []


def test_a_full_bin_and_one_on_hold_are_left_out(operator, lot):
    make_full_bin(operator, bin_fields={"capacity_mg": 10 * KG})
    _bin, held = make_full_bin(operator)
    hold_lot(lot=held, act=make_act(operator, "smells"))
    assert fitting_bins(lot) == []


def test_a_bin_in_an_open_visit_is_left_out(operator, lot):
    _bin, fill = make_full_bin(operator)
    Lot.objects.filter(pk=fill.pk).update(spoken_for_mg=1)  # as a piece of a visit does
    assert fitting_bins(lot) == []
    (card,) = bin_offers(lot).others
    assert card.contents.startswith("in an open visit: PE-HD blue flake, 10.000 kg of ")


def test_bins_are_offered_with_what_they_hold_and_those_with_room_first(operator, lot):
    BinFactory(name="A", polymer=polymer("PP"), colour=colour("red"), capacity_mg=60 * KG)
    same, _lot = make_full_bin(operator, bin_fields={"name": "B", "capacity_mg": 25 * KG})
    BinFactory(name="C", capacity_mg=14 * KG)
    offers = bin_offers(lot, 15 * KG)
    assert [(card.bin, card.contents) for card in offers.fits] == [
        (same, "PE-HD blue flake, 10.000 kg of 25.000 kg")
    ]
    assert [(card.bin.name, card.contents) for card in offers.others] == [
        ("A", "empty, kept for PP red, takes 60.000 kg"),
        ("C", "empty, takes 14.000 kg"),
    ]
    assert not bin_offers(None).fits


def test_unknown_material_fits_only_an_empty_bin_kept_for_nothing(operator):
    unknown = make_delivery(operator, polymer=None, identified_by="unknown").lot
    make_delivery(operator, bin=BinFactory(), polymer=None, identified_by="unknown")
    BinFactory(polymer=polymer("PP"))
    empty = BinFactory()
    assert fitting_bins(unknown) == [empty]


def test_the_bin_a_lot_stands_in_is_no_target(operator):
    _bin, lot = make_full_bin(operator)
    assert fitting_bins(lot) == []


def test_a_card_shows_what_an_empty_bin_is_kept_for(db):
    BinFactory(polymer=polymer("PP"), colour=colour("red"))
    (card,) = bin_cards(list(bin_board()))
    assert (card.symbol, card.colour, card.state, card.width) == ("PP", "red", "empty", 0)


def test_a_trace_of_something_stays_visible_on_the_bar(operator):
    make_full_bin(operator, net_mg=1)
    (card,) = bin_cards(list(bin_board()))
    assert card.width == 8


@pytest.mark.parametrize("text", ["B-07", " b-07 "])
def test_a_bin_is_known_by_its_name(db, text):
    bin = BinFactory(name="B-07")
    assert bin_named(text) == bin


@pytest.mark.django_db
def test_the_contents_of_a_bin_are_found_by_it_and_not_among_those_of_all_bins():
    same = {"kind": "fill", "form": "flake", "polymer": polymer("PP"), "colour": colour("red")}
    kept, others = BinFactory(), BinFactory()
    Lot.objects.bulk_create(
        Lot(
            code=f"{first}{second}{third}AAAA",
            bin=others if place % 100 else kept,
            opened_at=timezone.now(),
            **same,
        )
        for place, (first, second, third) in enumerate(itertools.product(ALPHABET[:15], repeat=3))
    )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    plan = contents_of(kept)[:20].explain()
    assert "lot_of_bin" in plan
    assert "Sort" not in plan
    assert "TEMP B-TREE" not in plan
