"""Entries with their proofs: their content gives their leaf, and the path leads to the root."""

from hashlib import sha256
from uuid import uuid4

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from inventory.actions.checkpoints import make_checkpoint
from inventory.actions.lots import hold_lot, move_lot
from inventory.calculations.merkle import is_included, leaf_hash
from inventory.models import Change, Posting
from inventory.queries import entries
from inventory.queries.entries import (
    entries_at,
    leaves_in,
    leaves_of,
    moved_mg,
    names_at,
    sealed_entries,
    spans_of,
)
from tests.factories.inventory import BinFactory, make_act, make_delivery

pytestmark = pytest.mark.django_db


@pytest.fixture
def checkpoint(operator):
    """Two postings and a change, and a posting that came later."""
    lot = make_delivery(operator).lot
    move_lot(lot=lot, bin=BinFactory(), act=make_act(operator))
    made = make_delivery(operator).lot
    hold_lot(lot=made, act=make_act(operator, "wet"))
    checkpoint = make_checkpoint(key=uuid4())
    make_delivery(operator)
    return checkpoint


def proven(entry, checkpoint) -> bool:
    digest = sha256(rfc8785.dumps(entry.content)).digest()
    path = [bytes.fromhex(each) for each in entry.path]
    root = bytes.fromhex(checkpoint.root)
    leaf = leaf_hash(digest)
    return is_included(leaf=leaf, number=entry.leaf, size=checkpoint.size, path=path, root=root)


def test_every_entry_leads_to_the_root_by_its_own_content(checkpoint):
    found = list(sealed_entries(range(checkpoint.size), checkpoint))
    assert [entry.leaf for entry in found] == list(range(checkpoint.size))
    assert {entry.kind for entry in found} == {"posting", "change"}
    assert all(proven(entry, checkpoint) for entry in found)


def test_another_content_leads_nowhere(checkpoint):
    entry = next(sealed_entries([0], checkpoint))
    entry.content["reason"] = "another"
    assert not proven(entry, checkpoint)


def test_names_are_those_of_the_book(checkpoint):
    names = [entry.name for entry in sealed_entries(range(checkpoint.size), checkpoint)]
    numbers = {posting.number for posting in Posting.objects.order_by("pk")[:3]}
    assert {name for name in names if name.startswith("P-")} == numbers
    assert len(set(names)) == len(names)


def test_what_came_later_has_no_place_in_the_checkpoint(checkpoint):
    assert len(leaves_of(Posting.objects.all(), checkpoint)) == Posting.objects.count() - 1
    assert len(leaves_of(Change.objects.all(), checkpoint)) == Change.objects.count()


def test_entries_are_read_in_few_queries_however_many(checkpoint, django_assert_max_num_queries):
    with django_assert_max_num_queries(10):
        list(sealed_entries(range(checkpoint.size), checkpoint))


def test_proofs_hold_across_what_is_read_at_a_time(checkpoint, monkeypatch):
    monkeypatch.setattr(entries, "AT_ONCE", 1)
    found = list(sealed_entries(range(checkpoint.size), checkpoint))
    assert [entry.leaf for entry in found] == list(range(checkpoint.size))
    assert all(proven(entry, checkpoint) for entry in found)


def test_names_and_sums_are_those_of_the_entries(checkpoint):
    places = range(checkpoint.size)
    told = list(entries_at(places))
    assert list(names_at(places)) == [(entry.name, entry.kind, entry.leaf) for entry in told]
    lines = [line for entry in told for line in entry.content.get("transfers", ())]
    assert moved_mg(places) == sum(line[2] for line in lines) > 0


@given(st.sets(st.integers(0, 300)))
def test_spans_are_the_places_that_they_were_made_of(places):
    assert list(leaves_in(spans_of(sorted(places)))) == sorted(places)
