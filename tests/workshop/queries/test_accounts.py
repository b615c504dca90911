"""A run's account adds up to the milligram."""

import pytest

from inventory.actions.postings import reverse_posting
from tests.factories.inventory import KG, BinFactory, ScaleFactory, make_act, make_full_bin
from tests.factories.workshop import load, load_weighed, make_run, weigh_out
from workshop.actions.charges import carry_over
from workshop.actions.runs import abandon_run, close_run
from workshop.models import Run
from workshop.queries.accounts import account_of, undone_entries
from workshop.queries.runs import balances

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator, bin_fields={"name": "B-07"})[1]


@pytest.fixture
def run(operator):
    return make_run(operator)


def account(run):
    return account_of(balances(Run.objects.get(pk=run.pk)))


def lines(side):
    return [(line.label, line.mass_mg) for line in side]


def test_what_went_in_and_came_out_stands_line_by_line(run, lot, operator):
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=2)
    weigh_out(run, operator, "offcut", KG, bin=BinFactory())
    weigh_out(run, operator, "dust", KG // 2, reason="swept up")
    close_run(run=run, act=make_act(operator, "spilt"))
    assert lines(account(run).ins) == [("B-07", 6 * KG)]
    assert lines(account(run).outs) == [
        ("parts", 4 * KG),
        ("offcuts", KG),
        ("dust, thrown away", KG // 2),
        ("loss", KG // 2),
    ]


def test_loads_from_one_place_are_one_line(run, lot, operator):
    load(run, lot, operator, 2 * KG)
    load(run, lot, operator, KG)
    assert lines(account(run).ins) == [("B-07", 3 * KG)]


def test_an_open_run_shows_what_is_still_in_the_machine(run, lot, operator):
    load(run, lot, operator, 6 * KG)
    assert lines(account(run).outs) == [("still in the machine", 6 * KG)]


def test_what_is_carried_over_stands_on_neither_side(run, lot, operator):
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    carry_over(run=run, act=make_act(operator))
    weigh_out(run, operator, "part", 2 * KG, pieces=1)
    assert lines(account(run).ins) == [("B-07", 6 * KG)]
    assert lines(account(run).outs) == [("parts", 6 * KG)]


def test_mass_that_only_the_scale_found_goes_in_as_such(run, lot, operator):
    scale = ScaleFactory(resolution_mg=KG // 10)
    load_weighed(run, lot, operator, 6 * KG, scale)
    weigh_out(run, operator, "part", 6 * KG + 20_000, pieces=1)
    found = account(run)
    assert lines(found.ins) == [("B-07", 6 * KG), ("found by the scale only", 20_000)]
    assert (found.in_mg, found.out_mg) == (6 * KG + 20_000, 6 * KG + 20_000)


def test_what_an_abandoned_run_held_is_disposed_of(run, lot, operator):
    load(run, lot, operator, 6 * KG)
    abandon_run(run=run, act=make_act(operator, "burnt"))
    assert lines(account(run).outs) == [("disposed", 6 * KG)]


def test_the_useful_share_counts_parts_and_material(run, lot, operator):
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    weigh_out(run, operator, "offcut", KG, bin=BinFactory())
    assert account(run).useful_share == pytest.approx(0.8)


def test_an_empty_run_has_no_share(run):
    assert account(run).useful_share is None


def test_a_reversed_load_is_kept_apart(run, lot, operator, lead):
    undone = load(run, lot, operator, 5 * KG)
    reverse_posting(posting=undone.posting, act=make_act(lead, "wrong bin"))
    assert account(run).ins == []
    assert [(name, row.pk) for name, row in undone_entries(run)] == [("load", undone.pk)]
