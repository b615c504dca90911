"""Proofs from the book, checked without it."""

from uuid import uuid4

import pytest

from inventory.actions.checkpoints import make_checkpoint
from inventory.calculations.merkle import is_continued, is_included
from inventory.models import Posting
from inventory.queries.checkpoints import consistency_of, inclusion_of
from tests.factories.inventory import make_delivery

pytestmark = pytest.mark.django_db


@pytest.fixture
def checkpoints(operator):
    """Two checkpoints with some deliveries before each."""
    made = []
    for many in (3, 4):
        for _ in range(many):
            make_delivery(operator)
        made.append(make_checkpoint(key=uuid4()))
    return made


def octets(path):
    return [bytes.fromhex(each) for each in path]


def test_every_posting_is_proved_to_be_in_the_newest_checkpoint(checkpoints):
    root = bytes.fromhex(checkpoints[1].root)
    for posting in Posting.objects.all():
        proof = inclusion_of(posting.uuid)
        assert is_included(
            leaf=bytes.fromhex(proof.leaf.hash),
            number=proof.leaf.number,
            size=proof.checkpoint.size,
            path=octets(proof.path),
            root=root,
        )


def test_a_posting_is_in_no_checkpoint_before_it(checkpoints):
    newest = Posting.objects.first()
    assert inclusion_of(newest.uuid, checkpoints[0]) is None
    assert inclusion_of(newest.uuid, checkpoints[1]) is not None


def test_what_came_after_the_last_checkpoint_has_no_proof_yet(checkpoints, operator):
    delivery = make_delivery(operator)
    assert inclusion_of(delivery.uuid) is None


def test_the_newer_checkpoint_is_proved_to_go_on_from_the_older(checkpoints):
    older, newer = checkpoints
    proof = consistency_of(older, newer)
    assert is_continued(
        older=older.size,
        newer=newer.size,
        path=octets(proof.path),
        old_root=bytes.fromhex(older.root),
        new_root=bytes.fromhex(newer.root),
    )


def test_an_older_checkpoint_does_not_go_on_from_a_newer(checkpoints):
    older, newer = checkpoints
    assert consistency_of(newer, older) is None
