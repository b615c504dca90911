"""A nested plan is searched once, verified and kept; a repeat searches nothing."""

from decimal import Decimal

import pytest

from inventory.models import Change
from products.actions.nested_plans import NestAsk, keep_nested, make_nested_plan
from products.calculations.cut_plans import Stock
from products.calculations.nesting import PROGRAM
from products.calculations.nesting_records import nested_of
from products.calculations.nestings import Shape, faults_of
from products.models import NestedPlan
from tests.factories.book import refused, written
from tests.factories.inventory import make_act
from tests.factories.nestings import HOOK, by_hand, question

pytestmark = pytest.mark.django_db


def ask(asked=None, **changes) -> NestAsk:
    asked = asked or question(Shape("hook", HOOK, 2, "half"))
    fields = {"polymer": "PE-HD", "colour": "", "thickness_um": 10_000}
    more = {"density_g_cm3": Decimal("0.955"), "seconds": 1}
    return NestAsk(asked, **(fields | more | changes))


def test_a_plan_is_kept_with_its_masses_and_who_asked(operator):
    plan = make_nested_plan(ask=ask(), act=make_act(operator))
    nested = nested_of(plan.content)
    assert faults_of(nested) == []
    assert sum(len(sheet.placed) for sheet in nested.sheets) == 2
    assert plan.parts_mg == 2 * 171_900  # 180 cm2 * 1 cm * 0.955 g/cm3 each, rounded once
    change = Change.objects.get(uuid=plan.uuid)
    assert (change.subject, change.by, change.row) == (plan.number, operator, plan.pk)


def test_a_plan_says_how_long_was_searched(operator):
    plan = make_nested_plan(ask=ask(), act=make_act(operator))
    kept = NestedPlan.objects.get(pk=plan.pk).search
    assert (kept["asked_s"], kept["program"]) == (1, PROGRAM)
    assert 100 < kept["spent_ms"] < 60_000  # a search asked for a second may end a little earlier


def test_a_repeat_searches_nothing_though_the_stock_is_another(operator, monkeypatch):
    act = make_act(operator)
    first = make_nested_plan(ask=ask(is_from_stock=True), act=act)
    monkeypatch.setattr("products.actions.nested_plans.nest", None)
    before = written()
    other = question(Shape("hook", HOOK, 2, "half"), stock=(Stock(600_000, 500_000),))
    assert make_nested_plan(ask=ask(other, is_from_stock=True), act=act) == first
    assert written() == before


def test_the_same_id_for_another_question_is_refused(operator):
    act = make_act(operator)
    make_nested_plan(ask=ask(), act=act)
    with refused("key-reused"):
        make_nested_plan(ask=ask(question(Shape("hook", HOOK, 3))), act=act)


def test_of_two_searches_at_once_the_first_one_kept_holds(operator):
    act, asked = make_act(operator), ask(by_hand((10, 10)).question)
    first = keep_nested(nested=by_hand((10, 10)), ask=asked, act=act, spent_ms=1004)
    assert keep_nested(nested=by_hand((20, 20)), ask=asked, act=act, spent_ms=999) == first
    assert first.search == {"asked_s": 1, "spent_ms": 1004, "program": PROGRAM}
    assert NestedPlan.objects.count() == 1


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        (question(), "no-parts"),
        (question(Shape("hook", HOOK, 101)), "too-many-shapes"),
        (question(Shape("hook", HOOK), stock=(Stock(9_000, 9_000),)), "margin-too-wide"),
    ],
)
def test_a_question_too_large_or_empty_is_refused(operator, asked, code):
    with refused(code):
        make_nested_plan(ask=ask(asked), act=make_act(operator))


def test_nothing_is_kept_of_a_plan_that_fails_its_check(operator, monkeypatch):
    monkeypatch.setattr("products.calculations.nesting.faults_of", lambda _nested: ["overlap"])
    with refused("not-verified"):
        make_nested_plan(ask=ask(), act=make_act(operator))
    assert not NestedPlan.objects.exists()
