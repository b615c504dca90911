"""What a part, or a bag of parts, gives of itself when it is loaded."""

import pytest

from inventory.actions.lots import dispose_lot, move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Lot, Mass, Transfer
from products.actions.parts import hand_over_part, take_back_part
from products.models import Part
from tests.factories.book import refused
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    make_act,
    make_full_bin,
)
from tests.factories.workshop import (
    DesignFactory,
    load,
    load_weighed,
    make_part,
    make_run,
)
from workshop.actions.charges import Portion, load_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


@pytest.fixture
def bag(operator, lot):
    """Ten pieces in one bag, 5 kg."""
    design = DesignFactory(made_by="inject", form="part", tracked="bag")
    return make_part(operator, lot, 5 * KG, design=design, operation="inject", pieces=10)


def test_refuses_a_part_that_is_in_use(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    hand_over_part(part=part, act=make_act(operator), to="school")
    with refused("in-use"):
        load(run, part.lot, operator)


def test_granulates_a_worn_part_that_came_back_lighter(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    hand_over_part(part=part, act=make_act(operator), to="school")
    take_back_part(part=part, act=make_act(operator), state="worn")
    loading = load(run, part.lot, operator, KG - 40_000)
    worn = Transfer.objects.get(posting=loading.posting, target=None)
    assert (worn.role, worn.mass_mg) == ("loss", 40_000)
    assert (loading.pieces, loading.mass_mg) == (1, KG - 40_000)
    assert not Part.objects.get(pk=part.pk).lot.held_mg


def test_undoing_the_loading_of_a_worn_part_gives_it_all_back(lot, operator, lead):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    loading = load(run, part.lot, operator, KG - 40_000)
    reverse_posting(posting=loading.posting, act=make_act(lead, "wrong part"))
    assert Part.objects.get(pk=part.pk).lot.held_mg == KG


def test_takes_some_pieces_of_a_bag_at_their_share_of_its_mass(bag, operator):
    loading = load(make_run(operator, "granulate"), bag.lot, operator, pieces=3)
    left = Part.objects.get(pk=bag.pk)
    assert (loading.mass_mg, loading.pieces) == (1_500_000, 3)
    assert (left.pieces_left, left.lot.held_mg) == (7, 3_500_000)


def test_takes_the_rest_of_a_bag(bag, operator):
    run = make_run(operator, "granulate")
    load(run, bag.lot, operator, pieces=3)
    assert load(run, bag.lot, operator).pieces == 7
    assert Part.objects.get(pk=bag.pk).pieces_left == 0


@pytest.mark.parametrize("pieces", [0, -1, 11])
def test_refuses_pieces_that_are_not_there(bag, operator, pieces):
    run = make_run(operator, "granulate")
    portion = Portion(bag.lot, None, pieces)
    with refused("short"):
        load_run(run=run, portion=portion, act=make_act(operator))


def test_a_piece_of_which_little_is_left_can_still_be_loaded(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    dispose_lot(lot=part.lot, mass=Mass(900_000), act=make_act(operator, "broke off"))
    assert load(run, part.lot, operator).mass_mg == 100_000


def test_refuses_a_part_that_was_used_up(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    load(run, part.lot, operator)
    with refused("empty"):
        load(run, part.lot, operator)


def test_takes_the_book_mass_where_the_scale_shows_a_trace_more(lot, operator):
    """U of one reading at d = 10 g is 5.77 g (JCGM 100, 4.3.7)."""
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    loading = load_weighed(run, part.lot, operator, KG + 5_700, ScaleFactory())
    assert loading.mass_mg == KG


def test_refuses_a_part_that_became_heavier_than_the_scale_explains(lot, operator):
    part, run, scale = make_part(operator, lot, KG), make_run(operator, "granulate"), ScaleFactory()
    with refused("short"):
        load_weighed(run, part.lot, operator, KG + 5_800, scale)


def test_a_part_may_be_pressed_again(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator)
    assert load(run, part.lot, operator).part == part


def test_a_part_may_be_collected_in_a_bin_before_it_is_ground(lot, operator):
    part, bin = make_part(operator, lot, KG), BinFactory()
    move_lot(lot=part.lot, bin=bin, act=make_act(operator))
    assert Lot.objects.get(bin=bin).form == "sheet"
