"""The claims of parts against a replay of the book, transfer by transfer, in whole fractions.

The replay is the oracle: it reads the standing transfers in the order of the book, keeps what
every lot holds as mg by origin class, and moves well-mixed shares. It knows no sweep and no lot's
counters. Recycled content is post- and pre-consumer mass over all mass (ISO 14021).
"""

from collections import defaultdict
from fractions import Fraction
from math import floor

import pytest

from inventory.models import Lot, Transfer
from inventory.queries.lots import open_lot_in
from products.models import Part
from products.queries import passports
from products.queries.passport_contents import claim_content
from products.queries.passports import last_posting, make_ups_of_parts
from tests.factories.inventory import KG, make_delivery
from tests.factories.loops import Loop
from tests.factories.workshop import load, make_part, make_run, weigh_out

pytestmark = pytest.mark.django_db


class MixedLoop(Loop):
    """A workshop whose deliveries are of every origin class in turn, the unknown ones too."""

    classes = ("post-consumer", "virgin", "pre-consumer", "additive", "unknown", "post-consumer")

    def deliver(self):
        for _ in range(2):
            each = self.classes[Lot.objects.filter(kind="delivery").count() % len(self.classes)]
            mg = self.random.randrange(3 * KG, 7 * KG)
            make_delivery(self.by, bin=self.bins["raw"], origin_class=each, net_mg=mg)


def replayed():
    """What every lot took, as mg by origin class."""
    undone = set(Transfer.objects.exclude(reverses=None).values_list("reverses", flat=True))
    class_of = dict(Lot.objects.values_list("pk", "origin_class"))
    taken = defaultdict(lambda: defaultdict(Fraction))
    held = defaultdict(lambda: defaultdict(Fraction))
    for row in Transfer.objects.filter(reverses=None).exclude(pk__in=undone).order_by("pk"):
        if row.source_id is None:
            moved = {class_of[row.target_id]: Fraction(row.mass_mg)}
        else:
            there = held[row.source_id]
            share = Fraction(row.mass_mg) / sum(there.values())
            moved = {each: mg * share for each, mg in there.items()}
            held[row.source_id] = {each: there[each] - mg for each, mg in moved.items()}
        for each, mg in moved.items() if row.target_id else ():
            held[row.target_id][each] = held[row.target_id].get(each, 0) + mg
            taken[row.target_id][each] += mg
    return taken


def permille(masses, *classes):
    return floor(1000 * sum(masses.get(each, 0) for each in classes) / sum(masses.values()))


def claims():
    parts = list(Part.objects.select_related("lot"))
    position, found = last_posting(), make_ups_of_parts(parts)
    return {p.lot_id: claim_content(found[p.pk], position, position.happened_at) for p in parts}


@pytest.mark.parametrize("most_exact", [600, 0], ids=["exactly", "in-steps"])
def test_every_claim_is_the_one_of_the_replay(operator, monkeypatch, most_exact):
    monkeypatch.setattr(passports, "MOST_EXACT", most_exact)
    MixedLoop(operator, seed=5).go_round(6)
    taken, told = replayed(), claims()
    assert len(told) == 12
    for lot, claim in told.items():
        masses = taken[lot]
        assert claim["post_consumer_permille"] == permille(masses, "post-consumer")
        assert claim["pre_consumer_permille"] == permille(masses, "pre-consumer")
        assert claim["has_unknown"] == bool(masses.get("unknown"))
        assert ("unknown origin counts as none" in claim["sentence"]) == claim["has_unknown"]


def only_claim_of(lot):
    part = Part.objects.get(lot=lot)
    return claim_content(make_ups_of_parts([part])[part.pk], last_posting(), part.made_at)


# ISO 14021: returns into the process that they came out of are no recycled content.
def test_own_parts_ground_and_pressed_again_raise_nothing(operator):
    part = make_part(operator, make_delivery(operator, origin_class="virgin").lot, 4 * KG)
    run, bin = make_run(operator, "granulate"), Loop(operator, seed=1).bins["flake"]
    load(run, part.lot, operator)
    weigh_out(run, operator, "material", 4 * KG, bin=bin)
    again = make_part(operator, open_lot_in(bin), 4 * KG)
    claim = only_claim_of(again.lot)
    assert (claim["post_consumer_permille"], claim["pre_consumer_permille"]) == (0, 0)
    assert claim["sentence"].startswith("No recycled content is claimed")
