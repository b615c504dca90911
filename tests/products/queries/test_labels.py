"""Which label a thing has, and what a printed code leads to."""

import pytest

from inventory.calculations.codes import group_code
from products.actions.labels import replace_label, void_label
from products.models import Part
from products.queries.labels import (
    grid_used_last,
    label_called,
    labels_of,
    live_labels,
    printed_before,
    thing_of,
)
from products.queries.things import Thing
from tests.factories.grids import RollFactory
from tests.factories.inventory import BinFactory, make_act

pytestmark = pytest.mark.django_db


@pytest.fixture
def bin():
    return BinFactory()


@pytest.fixture
def label(bin, stick):
    return stick("bin", bin.code).labels.get()


def test_a_label_is_called_by_its_code_as_typed(label):
    assert label_called(group_code(label.code).lower()) == label


def test_an_address_ending_in_the_code_calls_it_too(label):
    assert label_called(f"https://shop.example/q/{label.code}") == label


@pytest.mark.parametrize("text", ["", "B-01", "0" * 12])
def test_what_is_no_label_is_called_nothing(label, text):
    assert label_called(text) is None


def test_the_new_code_of_a_replaced_label_leads_to_its_thing(label, bin, operator):
    new = replace_label(label=label, act=make_act(operator, "lost"))
    assert thing_of(new.code) == bin


def test_a_void_label_still_tells_what_it_was_on(label, bin, operator):
    void_label(label=label, act=make_act(operator, "torn"))
    assert label_called(label.code).voided_at
    assert thing_of(label.code) == bin


def test_a_code_without_a_label_leads_nowhere():
    assert thing_of(BinFactory().code) is None


def test_a_part_is_found_by_its_label(run, stick):
    part = Part.objects.earliest("pk")
    stick("part", part.code)
    assert thing_of(part.code) == part


def test_the_newest_label_that_is_not_void_counts(label, bin, operator):
    new = replace_label(label=label, act=make_act(operator, "lost"))
    thing = Thing("bin", bin.code)
    labels = labels_of([thing])
    assert labels[thing] == [new, label]
    assert live_labels(labels) == {thing: new}


def test_a_replacement_was_not_printed_before(label, bin, operator):
    assert printed_before([Thing("bin", bin.code)]) == [label]
    replace_label(label=label, act=make_act(operator, "lost"))
    assert printed_before([Thing("bin", bin.code)]) == []


def test_the_grid_used_last_is_offered_first(label, stick):
    roll = RollFactory()
    stick("bin", BinFactory().code, on=roll)
    assert grid_used_last() == roll
