"""What a correction writes."""

import pytest

from inventory.actions.lots import move_lot
from inventory.models import Lot, Posting, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.verification import first_fault, wrong_digests, wrong_mirrors
from tests.factories.inventory import KG, BinFactory, grams, make_act, make_full_bin
from tests.factories.mendings import make_fix, mend

pytestmark = pytest.mark.django_db


@pytest.fixture
def moved(operator):
    """3 kg moved into a bin, 1 kg on, 2 kg more on top."""
    _bin, lot = make_full_bin(operator)
    bin = BinFactory()
    first = move_lot(lot=lot, bin=bin, mass=grams(3000), act=make_act(operator))
    for source, target, mass in ((bin, BinFactory(), 1000), (lot.bin, bin, 2000)):
        move_lot(lot=open_lot_in(source), bin=target, mass=grams(mass), act=make_act(operator))
    return first


def test_every_posting_that_changes_is_undone_and_written_anew(moved, lead):
    act = make_act(lead, "typed wrong")
    head = mend(lead, make_fix(moved, 2), act=act)
    later = Posting.objects.filter(pk__gt=moved.pk + 2).order_by("pk")
    assert [posting.kind for posting in later] == ["reverse", "reverse", "correct", "correct"]
    assert (head.uuid, head.replaces) == (act.key, moved)


def test_all_of_it_is_one_act(moved, lead):
    head = mend(lead, make_fix(moved, 2))
    rows = Posting.objects.filter(fingerprint=head.fingerprint)
    assert {(row.reason, row.by) for row in rows} == {("written down wrong", lead)}
    assert rows.count() == 4


def test_the_mirror_carries_the_act_s_id_where_nothing_replaces_it(moved, lead):
    act = make_act(lead, "never happened")
    last = Transfer.objects.filter(role="moved").latest("pk").posting
    assert mend(lead, make_fix(last, is_out=True), act=act).uuid == act.key


def test_another_fix_heads_the_act_where_the_first_one_changes_nothing(moved, lead):
    act = make_act(lead, "both looked at")
    last = moved.transfers.get().target.given.get(role="moved").posting
    head = mend(lead, make_fix(moved, 3), make_fix(last, 0.5), act=act)
    assert (head.uuid, head.replaces) == (act.key, last)
    assert not hasattr(Posting.objects.get(pk=moved.pk), "reversed_by")


def test_what_was_written_verifies(moved, lead):
    mend(lead, make_fix(moved, 2))
    assert [*wrong_digests(), *wrong_mirrors()] == []
    assert first_fault() is None


def test_a_replacement_says_when_it_happened_and_when_it_was_recorded(moved, lead):
    head = mend(lead, make_fix(moved, 2))
    assert head.happened_at == moved.happened_at
    assert head.recorded_at > moved.recorded_at


def test_a_new_lot_was_opened_when_it_was_filled(moved, operator, lead):
    right = make_full_bin(operator)[0]
    move_lot(lot=open_lot_in(right), bin=BinFactory(), mass=grams(1000), act=make_act(operator))
    late = move_lot(
        lot=moved.transfers.get().source, bin=BinFactory(), mass=grams(500), act=make_act(operator)
    )
    mend(lead, make_fix(late, target=right))
    new = Lot.objects.latest("pk")
    assert (new.kind, new.bin, new.held_mg, new.opened_at) == (
        "fill",
        right,
        9_500_000,
        late.happened_at,
    )
    assert new.taken.get(role="remainder").mass_mg == 9 * KG
