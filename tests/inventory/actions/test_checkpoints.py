"""Making checkpoints: every entry once, in one order, repeats harmless."""

from uuid import uuid4

import pytest

from inventory.actions.checkpoints import make_checkpoint
from inventory.actions.lots import hold_lot
from inventory.calculations.merkle import BRANCH, Tree, leaf_hash, root_over
from inventory.models import Branch, Change, Checkpoint, Leaf, Posting
from tests.factories.book import refused
from tests.factories.inventory import KG, make_act, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run
from workshop.actions.runs import abandon_run

pytestmark = pytest.mark.django_db


def test_a_checkpoint_holds_every_posting_and_every_change(operator):
    hold_lot(lot=make_delivery(operator).lot, act=make_act(operator, "smells"))
    made = make_checkpoint(key=uuid4(), by=operator)
    entries = {*Posting.objects.values_list("uuid", flat=True)}
    entries |= {*Change.objects.values_list("uuid", flat=True)}
    assert {*Leaf.objects.values_list("uuid", flat=True)} == entries
    assert made.size == len(entries)


def test_the_root_is_that_over_the_digests(operator):
    make_delivery(operator), make_delivery(operator)
    made = make_checkpoint(key=uuid4())
    leaves = [bytes.fromhex(leaf.hash) for leaf in Leaf.objects.order_by("number")]
    digests = {p.uuid: p.digest for p in Posting.objects.all()}
    posted = [leaf for leaf in Leaf.objects.all() if leaf.uuid in digests]
    assert made.root == root_over(leaves).hex()
    assert [leaf.hash for leaf in posted] == [
        leaf_hash(bytes.fromhex(digests[leaf.uuid])).hex() for leaf in posted
    ]


def test_a_later_checkpoint_only_adds(operator):
    make_delivery(operator)
    first = make_checkpoint(key=uuid4())
    before = list(Leaf.objects.values_list("number", "uuid", "hash"))
    make_delivery(operator)
    second = make_checkpoint(key=uuid4())
    assert second.size > first.size
    assert list(Leaf.objects.values_list("number", "uuid", "hash"))[: first.size] == before


def test_a_repeated_id_gives_the_same_checkpoint(operator):
    make_delivery(operator)
    key = uuid4()
    first = make_checkpoint(key=key)
    make_delivery(operator)
    assert make_checkpoint(key=key) == first
    assert Checkpoint.objects.count() == 1


def test_with_nothing_new_the_last_one_stands(operator):
    make_delivery(operator)
    first = make_checkpoint(key=uuid4())
    assert make_checkpoint(key=uuid4()) == first


def test_an_empty_book_has_no_checkpoint():
    with refused("empty"):
        make_checkpoint(key=uuid4())


def test_full_branches_are_kept_and_make_the_same_root(lead):
    entries = [
        Change(
            uuid=uuid4(),
            verb="test",
            subject=str(number),
            happened_at=make_act(lead).at,
            recorded_at=make_act(lead).at,
            by=lead,
            role="lead",
            request={},
            fingerprint="",
        )
        for number in range(BRANCH + 3)
    ]
    Change.objects.bulk_create(entries)
    made = make_checkpoint(key=uuid4())
    leaves = [bytes.fromhex(text) for text in Leaf.objects.values_list("hash", flat=True)]
    assert [*Branch.objects.values_list("number", "root")] == [
        (0, root_over(leaves[:BRANCH]).hex())
    ]
    assert made.root == Tree(len(leaves), lambda start, end: leaves[start:end]).root().hex()


def test_an_act_that_posted_and_changed_has_two_places(operator):
    """Closing a run with a loss books it and writes the closing down, under one id."""
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator, 6 * KG)
    act = make_act(operator, "the hose came off")
    abandon_run(run=run, act=act)
    make_checkpoint(key=uuid4())
    assert set(Leaf.objects.filter(uuid=act.key).values_list("kind", flat=True)) == {
        "posting",
        "change",
    }
