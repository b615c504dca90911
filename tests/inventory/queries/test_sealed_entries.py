"""What somebody does behind the guards, even with the digest mended, is found and named."""

# ruff: noqa: S608 (the statements are ours)

from datetime import timedelta
from uuid import uuid4

import pytest

from inventory.actions.checkpoints import make_checkpoint
from inventory.actions.lots import hold_lot
from inventory.models import Change, Checkpoint, Leaf, Posting
from inventory.queries.sealed_entries import (
    added_entries,
    changed_entries,
    disagreement,
    removed_entries,
    wrong_roots,
)
from inventory.queries.verification import first_fault
from tests.factories.book import tamper, tamper_with_tree
from tests.factories.inventory import make_act, make_delivery

pytestmark = pytest.mark.django_db


@pytest.fixture
def sealed(operator):
    """A book of three deliveries and a hold, in a checkpoint."""
    lots = [make_delivery(operator).lot for _ in range(3)]
    hold_lot(lot=lots[0], act=make_act(operator, "smells"))
    return make_checkpoint(key=uuid4())


def posting() -> Posting:
    return Posting.objects.order_by("pk")[1]


def test_an_honest_book_has_no_fault(sealed):
    assert first_fault() is None


def test_a_changed_posting_is_named_though_its_digest_was_forged(sealed):
    tamper(f"UPDATE inventory_posting SET digest = '{'1' * 64}' WHERE id = {posting().pk}")
    assert list(changed_entries()) == [
        f"{posting().number}: was changed after a checkpoint held it"
    ]


def test_a_changed_change_is_named(sealed):
    change = Change.objects.get(verb="hold")
    tamper(f"UPDATE inventory_change SET reason = 'smells of roses' WHERE id = {change.pk}")
    assert list(changed_entries()) == [
        f"change {change.uuid}: was changed after a checkpoint held it"
    ]


def test_a_removed_entry_is_named(sealed):
    change = Change.objects.get(verb="hold")
    number = Leaf.objects.get(uuid=change.uuid).number
    tamper(f"DELETE FROM inventory_change WHERE id = {change.pk}")
    (found,) = removed_entries()
    assert found.startswith(f"entry {number} ({change.uuid})")


def test_an_entry_slipped_in_with_an_old_date_is_named(sealed, operator):
    make_delivery(operator)
    late = Posting.objects.first()
    early = late.recorded_at - timedelta(days=30)
    tamper(
        f"UPDATE inventory_posting SET recorded_at = '{early:%Y-%m-%d %H:%M:%S}' WHERE id = {late.pk}"
    )
    (found,) = added_entries()
    assert found.startswith(f"{late.number}: says it is older than {sealed.number}")


def test_what_came_after_the_checkpoint_is_no_fault(sealed, operator):
    make_delivery(operator)
    assert first_fault() is None


def test_two_entries_that_changed_places_are_found(sealed):
    first, second = Leaf.objects.all()[:2]
    tamper_with_tree(
        f"UPDATE inventory_leaf SET number = -1 WHERE id = {first.pk}",
        f"UPDATE inventory_leaf SET number = 0 WHERE id = {second.pk}",
        f"UPDATE inventory_leaf SET number = 1 WHERE id = {first.pk}",
    )
    assert list(wrong_roots()) == [f"checkpoint of {sealed.size} entries: its root is another now"]


def test_a_leaf_that_was_taken_out_is_found(sealed):
    tamper_with_tree("DELETE FROM inventory_leaf WHERE number = 1")
    assert list(wrong_roots()) == ["entry 1: has no leaf"]


def test_a_tree_cut_short_is_found(sealed):
    tamper_with_tree(f"DELETE FROM inventory_leaf WHERE number = {sealed.size - 1}")
    assert list(wrong_roots()) == [
        f"checkpoint of {sealed.size} entries: the tree has only {sealed.size - 1}"
    ]


def test_a_whole_book_written_anew_is_found_by_a_copy_of_the_root(sealed):
    copy = (sealed.size, sealed.root)
    tamper_with_tree(
        f"UPDATE inventory_leaf SET hash = '{'2' * 64}' WHERE number = 0",
        f"UPDATE inventory_checkpoint SET root = '{'3' * 64}'",
    )
    assert "the root over" in disagreement(*copy)


def test_a_copy_of_the_root_agrees_with_the_honest_book(sealed, operator):
    make_delivery(operator)
    make_checkpoint(key=uuid4())
    assert disagreement(sealed.size, sealed.root) == ""


def test_a_copy_from_a_longer_book_does_not_agree(sealed):
    assert "the copy says" in disagreement(sealed.size + 1, sealed.root)


def test_every_checkpoint_is_held_against_the_tree(sealed, operator):
    make_delivery(operator)
    make_checkpoint(key=uuid4())
    tamper_with_tree(
        f"UPDATE inventory_checkpoint SET root = '{'4' * 64}' WHERE size = {sealed.size}"
    )
    assert list(wrong_roots()) == [f"checkpoint of {sealed.size} entries: its root is another now"]
    assert Checkpoint.objects.count() == 2
