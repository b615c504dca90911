"""What a code as typed or scanned stands for, once a thing has labels."""

import pytest

from inventory.api.names import by_code
from inventory.calculations.codes import group_code
from inventory.models import Bin, Lot
from inventory.queries.bins import bin_named
from inventory.queries.codes import own_code, void_note
from inventory.queries.deliveries import delivery_numbered
from inventory.queries.lots import lot_named
from products.actions.labels import print_labels, replace_label, void_label
from products.queries.things import Thing
from tests.factories.grids import GridFactory
from tests.factories.inventory import make_act, make_delivery, make_full_bin

pytestmark = pytest.mark.django_db


@pytest.fixture
def filled(operator):
    return make_full_bin(operator)


@pytest.fixture
def bin(filled):
    return filled[0]


@pytest.fixture
def labelled(operator):
    """Print the first label of a thing."""

    def label(kind, code):
        things = [Thing(kind, code)]
        return print_labels(things=things, grid=GridFactory(), act=make_act(operator)).labels.get()

    return label


@pytest.fixture
def renewed(labelled, operator):
    """Print a label of a thing and replace it: the old label and the new one."""

    def renew(kind, code):
        old = labelled(kind, code)
        return old, replace_label(label=old, act=make_act(operator, "lost"))

    return renew


def test_a_thing_without_a_label_answers_to_its_own_code(bin):
    assert own_code(group_code(bin.code).lower()) == bin.code


def test_what_is_no_code_stands_for_nothing():
    assert own_code("B-07") is None


def test_a_new_label_stands_for_the_thing_it_is_on(bin, renewed):
    _old, new = renewed("bin", bin.code)
    assert own_code(new.code) == bin.code
    assert bin_named(new.code) == bin


def test_a_new_label_on_a_bin_names_what_the_bin_holds(filled, renewed):
    bin, lot = filled
    assert lot_named(renewed("bin", bin.code)[1].code) == lot


def test_a_new_label_on_a_delivery_names_it_and_its_lot(operator, renewed):
    delivery = make_delivery(operator)
    _old, new = renewed("delivery", delivery.code)
    assert delivery_numbered(new.code) == delivery
    assert lot_named(new.code) == delivery.lot
    assert by_code(Lot.objects.all(), new.code) == delivery.lot


def test_a_label_on_a_bin_is_the_code_of_no_lot(bin, renewed):
    assert by_code(Lot.objects.all(), renewed("bin", bin.code)[1].code) is None


def test_a_void_label_still_leads_to_its_thing_when_only_read(bin, renewed):
    old, _new = renewed("bin", bin.code)
    assert by_code(Bin.objects.all(), old.code) == bin


def test_a_label_that_counts_has_no_note(bin, renewed):
    assert void_note(renewed("bin", bin.code)[1].code) == ""


def test_a_thing_without_a_label_has_no_note(bin):
    assert void_note(bin.code) == void_note(bin.name) == ""


def test_a_replaced_label_names_the_one_to_scan(bin, renewed):
    old, new = renewed("bin", bin.code)
    assert group_code(new.code) in void_note(old.code)


def test_a_label_replaced_twice_names_the_newest(bin, renewed, operator):
    old, second = renewed("bin", bin.code)
    third = replace_label(label=second, act=make_act(operator, "lost too"))
    assert group_code(third.code) in void_note(old.code)


def test_a_void_label_without_a_new_one_asks_for_a_print(bin, labelled, operator):
    label = void_label(label=labelled("bin", bin.code), act=make_act(operator, "torn"))
    assert "print a new one" in void_note(label.code)
