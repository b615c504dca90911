"""Passports that come with the closing of a run."""

import pytest

from products.models import Part, Passport
from tests.factories.inventory import KG, ScaleFactory, make_act, make_full_bin
from tests.factories.workshop import (
    DesignFactory,
    load,
    load_weighed,
    make_run,
    weigh_out,
    weigh_out_on,
)
from workshop.actions.passports import issue_run_passports
from workshop.actions.runs import abandon_run, close_run, reopen_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    """A run that has made five parts of 10 kg, one pass old, and is still open."""
    run = make_run(operator, settings_note="180 degrees", design=DesignFactory(name="Tile"))
    load(run, make_full_bin(operator)[1], operator, 10 * KG)
    weigh_out(run, operator, "part", 10 * KG, pieces=5)
    return run


def test_closing_a_run_issues_the_passports_of_its_parts(run, operator):
    close_run(run=run, act=make_act(operator))
    assert set(Passport.objects.values_list("part__code", "version")) == {
        (part.code, 1) for part in Part.objects.all()
    }


def test_a_passport_says_how_the_part_was_made(run, operator):
    close_run(run=run, act=make_act(operator))
    assert Passport.objects.first().content["run"] == {
        "run": run.number,
        "operation": "press",
        "machine": "press",
        "settings": "180 degrees",
    }


def test_closing_a_repeat_issues_nothing_again(run, operator):
    act = make_act(operator)
    close_run(run=run, act=act)
    close_run(run=run, act=act)
    assert Passport.objects.count() == 5


def test_a_run_closed_again_issues_new_versions_that_say_so(run, operator, lead):
    close_run(run=run, act=make_act(operator))
    reopen_run(run=run, act=make_act(lead, "a part was forgotten"))
    run.refresh_from_db()
    close_run(run=run, act=make_act(operator))
    newer = Passport.objects.filter(version=2)
    assert newer.count() == 5
    assert set(newer.values_list("reason", flat=True)) == {"Its run was closed."}


def test_an_abandoned_run_issues_none(run, operator):
    abandon_run(run=run, act=make_act(operator, "screw jam"))
    assert Passport.objects.count() == 0


def test_parts_of_other_runs_get_none(run, operator):
    other = make_run(operator)
    load(other, make_full_bin(operator)[1], operator, 10 * KG)
    weigh_out(other, operator, "part", 10 * KG, pieces=1)
    close_run(run=run, act=make_act(operator))
    assert not Passport.objects.filter(part__made_in__reference=other.reference).exists()


def test_mass_that_only_the_scale_found_is_unknown_in_the_one_part_that_has_it(operator):
    scale = ScaleFactory(resolution_mg=10_000)
    run = make_run(operator)
    load_weighed(run, make_full_bin(operator)[1], operator, 4 * KG, scale)
    weigh_out_on(scale, run, operator, "part", 4 * KG + 5_000, pieces=2)
    close_run(run=run, act=make_act(operator))
    claims = [
        each.content["claim"]["has_unknown"] for each in Passport.objects.order_by("part__pk")
    ]
    assert claims == [False, True]


def test_a_longer_reason_is_cut_to_what_the_book_takes(run, operator):
    act = make_act(operator, "x" * 300)
    issue_run_passports(run=run, act=act)
    passports = issue_run_passports(run=run, act=make_act(operator, "y" * 300))
    assert {len(each.reason) for each in passports} == {300}


def test_five_hundred_parts_are_traced_once(operator, django_assert_max_num_queries):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 10 * KG)
    weigh_out(run, operator, "part", 10 * KG, pieces=500)
    with django_assert_max_num_queries(20):
        issue_run_passports(run=run, act=make_act(operator))
