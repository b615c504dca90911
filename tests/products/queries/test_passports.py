"""What a part is made of, and the state of its label."""

from fractions import Fraction

import pytest
from django.utils import timezone

from inventory.queries.traces import make_up_of
from products.models import Label, Part
from products.queries import passports
from products.queries.passport_contents import make_up_content
from products.queries.passports import label_state, make_ups_of_parts
from tests.factories.inventory import KG, make_full_bin
from tests.factories.passports import make_mixed_part
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def part(operator):
    return make_mixed_part(operator)


def make_label(part, code=None, **fields):
    fields |= {"thing": "part", "thing_code": part.code, "made_at": timezone.now()}
    return Label.objects.create(code=code or part.code, **fields)


def make_void(part, by):
    return make_label(part, voided_at=timezone.now(), voided_by=by, void_reason="scratched")


def test_shares_are_exact(part):
    found = make_ups_of_parts([part])[part.pk]
    assert found.by_origin == {
        "post-consumer": Fraction(6, 10),
        "virgin": Fraction(3, 10),
        "pre-consumer": Fraction(1, 10),
    }


# The trace is another sweep, in floats.
def test_shares_agree_with_the_trace(part):
    found = make_ups_of_parts([part])[part.pk]
    traced = {each.label: each.share for each in make_up_of(part.lot).by_colour}
    assert {name: float(share) for name, share in found.by_colour.items()} == pytest.approx(traced)


def test_a_long_way_back_is_swept_in_steps_with_the_same_answer(part, monkeypatch):
    exact = make_up_content(make_ups_of_parts([part])[part.pk])
    monkeypatch.setattr(passports, "MOST_EXACT", 0)
    assert make_up_content(make_ups_of_parts([part])[part.pk]) == exact


def test_parts_of_one_charge_share_one_make_up(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 10 * KG)
    weigh_out(run, operator, "part", 10 * KG, pieces=7)
    found = make_ups_of_parts(Part.objects.all())
    assert len(found) == 7
    assert len({id(each) for each in found.values()}) == 1


def test_many_parts_ask_as_little_as_one(operator, django_assert_num_queries):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 10 * KG)
    weigh_out(run, operator, "part", 10 * KG, pieces=50)
    parts = list(Part.objects.all())
    with django_assert_num_queries(3):
        make_ups_of_parts(parts)


def test_a_part_never_labelled_answers_to_its_own_code(part):
    state = label_state(part)
    assert (state.code, state.sentence) == (part.code, "no label printed yet")


def test_a_label_says_since_when(part):
    make_label(part)
    assert label_state(part).sentence.startswith("labelled since ")


def test_a_void_label_without_a_new_one_is_said(part, operator):
    make_void(part, operator)
    assert "taken out of use" in label_state(part).sentence


def test_the_newest_label_counts(part, operator):
    make_void(part, operator)
    make_label(part, code="ABCD10GHJKMN")
    assert label_state(part).code == "ABCD10GHJKMN"
