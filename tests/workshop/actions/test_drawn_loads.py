"""A load known from weighing the bin afterwards: what the book held less what the scale shows now."""

import pytest

from inventory.actions.postings import reverse_posting
from inventory.models import Mass, Transfer
from inventory.queries.lots import book_mass
from tests.factories.book import refused, sentence
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    make_act,
    make_delivery,
    make_full_bin,
)
from tests.factories.workshop import load, make_part, make_run
from workshop.actions.charges import Portion, load_run
from workshop.queries.runs import balances

pytestmark = pytest.mark.django_db


@pytest.fixture
def scale(db):
    return ScaleFactory(resolution_mg=10_000)


@pytest.fixture
def lot(operator, scale):
    """10 kg in a bin, weighed on the scale as gross minus tare."""
    return make_delivery(
        operator, bin=BinFactory(name="B-07"), scale=scale, gross_mg=11 * KG, tare_mg=KG
    ).lot


@pytest.fixture
def run(operator):
    return make_run(operator)


def draw(run, lot, operator, left_mg, scale=None, readings=2):
    remaining = Mass.weighed(left_mg, scale, readings=readings)
    portion = Portion(lot, remaining=remaining)
    return load_run(run=run, portion=portion, act=make_act(operator), is_confirmed=True)


def test_what_is_gone_from_the_bin_is_loaded(run, lot, operator, scale):
    assert draw(run, lot, operator, 6_400_000, scale).mass_mg == 3_600_000
    lot.refresh_from_db()
    assert lot.held_mg == 6_400_000


def test_the_uncertainty_has_that_of_the_book_and_that_of_the_reading(run, lot, operator, scale):
    """JCGM 100, 5.1.2: u of a difference is the root of the sum of squares.

    d = 10 g, so a net mass of two readings has u = 10 / sqrt 6 = 4.082 g, the book and the new
    figure alike: sqrt 2 * 4.082 = 5.774 g.
    """
    draw(run, lot, operator, 6_400_000, scale)
    transfer = Transfer.objects.get(role="loaded")
    assert transfer.uncertainty_ug == pytest.approx(5_773_503, abs=3)
    assert (transfer.basis, transfer.scale) == ("weighed", scale)
    assert balances(run)[0].allowed_mg == pytest.approx(11_547, abs=1)


def test_a_typed_reading_keeps_the_uncertainty_of_the_book(run, lot, operator):
    book_ug = book_mass(lot).uncertainty_ug
    draw(run, lot, operator, 6_400_000)
    transfer = Transfer.objects.get(role="loaded")
    assert (transfer.basis, transfer.uncertainty_ug) == ("typed", book_ug)


def test_an_empty_bin_gave_all_it_held(run, lot, operator, scale):
    assert draw(run, lot, operator, 0, scale).mass_mg == 10 * KG


def test_refuses_a_bin_that_holds_more_than_the_book_and_points_to_a_count(
    run, lot, operator, scale
):
    with refused("over-book") as told:
        draw(run, lot, operator, 10_050_000, scale)
    assert sentence(told) == (
        "The scale shows 50 g more in B-07 than the book; count it first, then load."
    )


def test_refuses_a_bin_from_which_nothing_was_taken(run, lot, operator, scale):
    with refused("mass"):
        draw(run, lot, operator, 10 * KG, scale)


def test_refuses_to_weigh_what_is_left_of_a_part(operator):
    part = make_part(operator, make_full_bin(operator)[1], 4 * KG)
    run = make_run(operator, "granulate")
    with refused("wrong-load"):
        draw(run, part.lot, operator, KG)


def test_a_repeat_is_one_load_and_another_reading_is_another_act(run, lot, operator, scale):
    act = make_act(operator)
    portion = Portion(lot, remaining=Mass.weighed(6_400_000, scale))
    first = load_run(run=run, portion=portion, act=act, is_confirmed=True)
    assert load_run(run=run, portion=portion, act=act) == first
    with refused("key-reused"):
        load_run(run=run, portion=Portion(lot, remaining=Mass(KG)), act=act)


def test_an_undone_draw_gives_the_bin_its_book_back(run, lot, operator, lead, scale):
    wrong = draw(run, lot, operator, 6_400_000, scale)
    reverse_posting(posting=wrong.posting, act=make_act(lead, "wrong bin"))
    lot.refresh_from_db()
    assert lot.held_mg == 10 * KG


def test_a_plain_load_asks_the_book_as_it_always_did(run, lot, operator):
    """The fingerprints of loads that are in the book already must not change."""
    assert Portion(lot, Mass(KG)).plain().keys() == {"lot", "mass", "pieces"}
    assert load(run, lot, operator, KG).mass_mg == KG
