"""What other tablets do to parts between the asking what holds them and the locking is not overlooked."""

import pytest

from products.actions import fixings
from products.actions.fixings import put_in
from products.actions.parts import hand_over_part
from tests.factories.book import refused
from tests.factories.fixings import clip_design, made
from tests.factories.inventory import make_act

pytestmark = pytest.mark.django_db


def meanwhile(monkeypatch, *acts):
    """Let other tablets act once between asking what holds a part and locking it."""
    ask, waiting = fixings.holders_above, list(acts)

    def asked(part):
        found = ask(part)
        now, waiting[:] = waiting[:], []
        for act in now:
            act()
        return found

    monkeypatch.setattr(fixings, "holders_above", asked)


def test_nothing_goes_into_a_product_that_went_into_use_with_another_meanwhile(
    lead, operator, clip, stool, loose, monkeypatch
):
    design = clip_design("Bench")
    design.items.create(line=1, count=1, component=stool.design)
    bench = made(operator, design)
    acts = (
        lambda: put_in(holder=bench, part=stool, act=make_act(operator)),
        lambda: hand_over_part(part=bench, act=make_act(operator)),
    )
    with refused("conflict"):
        meanwhile(monkeypatch, *acts)
        put_in(holder=stool, part=loose, act=make_act(operator))


def test_no_ring_is_closed_by_two_tablets(stool, clip, loose, operator, monkeypatch):
    clip.items.create(line=1, count=1, component=stool.design)
    with refused("conflict"):
        meanwhile(monkeypatch, lambda: put_in(holder=stool, part=loose, act=make_act(operator)))
        put_in(holder=loose, part=stool, act=make_act(operator))
