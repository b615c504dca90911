"""Parts are locked together, each with its lot, and told apart where they are not loose."""

import pytest

from products.actions.fixings import put_in
from products.actions.loose_parts import guard_apart, guard_loose, lock_parts, lock_related
from products.models import Part
from tests.factories.book import refused
from tests.factories.fixings import clip_design, made, stool_design
from tests.factories.inventory import KG, make_act
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def fixing(lead, operator):
    clip = clip_design()
    stool = made(operator, stool_design(lead, clip))
    return put_in(holder=stool, part=made(operator, clip), act=make_act(operator))


def test_parts_come_locked_in_the_order_asked_with_what_their_lots_hold(fixing):
    pair = Part.objects.get(pk=fixing.part.pk), Part.objects.get(pk=fixing.holder.pk)
    locked = lock_parts(*pair)
    assert tuple(locked) == pair
    assert [part.lot.held_mg for part in locked] == [KG, KG]


def test_refuses_when_what_belongs_to_them_changed_while_the_locks_were_waited_for(fixing):
    assert lock_related(lambda: [fixing.holder], fixing.part) == [fixing.part, fixing.holder]
    answers = iter([[], [fixing.holder]])
    with refused("conflict"):
        lock_related(lambda: next(answers), fixing.part)


def test_what_is_loose_passes(fixing, operator):
    part = made(operator, fixing.part.design)
    guard_loose(part)
    guard_apart(part)


def test_refuses_what_is_put_together(fixing):
    with refused("fixed"):
        guard_apart(fixing.part)
    with refused("holds-parts"):
        guard_apart(fixing.holder)
