"""Printing, voiding and replacing labels."""

from uuid import uuid4

import pytest

from products.actions.labels import print_labels, replace_label, void_label
from products.models import Label, Part, PrintedAddress, Printing
from products.queries.labels import printed_labels
from products.queries.things import Thing
from tests.factories.book import refused
from tests.factories.grids import GridFactory, RollFactory
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def grid():
    return GridFactory()


@pytest.fixture
def bin():
    return BinFactory()


@pytest.fixture
def printed(bin, grid, operator):
    """The printing of a bin's first label."""
    return print_bin(bin, grid, operator)


@pytest.fixture
def label(printed):
    return printed.labels.get()


def print_bin(bin, grid, by, reason="", **more):
    act = make_act(by, reason, **({"key": more.pop("key")} if "key" in more else {}))
    return print_labels(things=[Thing("bin", bin.code)], grid=grid, act=act, **more)


def test_the_first_label_carries_the_code_of_its_thing(label, bin):
    assert (label.code, label.thing, label.thing_code) == (bin.code, "bin", bin.code)


def test_the_printing_says_who_when_and_on_what(printed, operator, grid):
    assert (printed.by, printed.grid, printed.grid_name) == (operator, grid, grid.name)
    assert printed.start == 1


def test_the_first_print_freezes_the_address(printed, settings):
    assert PrintedAddress.objects.get().site_url == settings.SITE_URL


def test_another_address_is_refused_after_the_first_print(printed, bin, grid, operator, settings):
    settings.SITE_URL = "https://other.example"
    with refused("address-frozen"):
        print_bin(bin, grid, operator, "smudged")


def test_a_slash_at_the_end_is_no_other_address(printed, bin, grid, operator, settings):
    settings.SITE_URL += "/"
    assert print_bin(bin, grid, operator, "smudged").labels.count() == 1


def test_no_label_is_printed_without_an_address(bin, grid, operator, settings):
    settings.SITE_URL = "workshop"
    with refused("site-url"):
        print_bin(bin, grid, operator)


def test_printing_again_needs_a_reason(printed, bin, grid, operator):
    with refused("reason"):
        print_bin(bin, grid, operator)


def test_printing_again_with_a_reason_uses_the_same_label(printed, bin, grid, operator):
    again = print_bin(bin, grid, operator, "smudged")
    assert list(again.labels.all()) == list(printed.labels.all())
    assert again.reason == "smudged"


def test_a_repeat_prints_nothing_more(bin, grid, operator):
    key = uuid4()
    first = print_bin(bin, grid, operator, key=key)
    assert print_bin(bin, grid, operator, key=key) == first
    assert Printing.objects.count() == Label.objects.count() == 1


def test_the_same_id_for_other_labels_is_refused(bin, grid, operator):
    key, other = uuid4(), BinFactory()
    print_bin(bin, grid, operator, key=key)
    with refused("key-reused"):
        print_bin(other, grid, operator, key=key)


def test_nothing_chosen_is_refused(grid, operator):
    with refused("nothing-chosen"):
        print_labels(things=[], grid=grid, act=make_act(operator))


def test_more_than_a_thousand_are_refused(grid, operator):
    many = [Thing("bin", f"{number:012d}") for number in range(1001)]
    with refused("too-many"):
        print_labels(things=many, grid=grid, act=make_act(operator))


def test_a_thing_that_is_not_there_is_refused(grid, operator, bin):
    things = [Thing("bin", bin.code), Thing("part", "0" * 12)]
    with refused("no-thing"):
        print_labels(things=things, grid=grid, act=make_act(operator))


@pytest.mark.parametrize("start", [0, 25])
def test_a_place_that_the_sheet_has_not_is_refused(bin, grid, operator, start):
    with refused("start"):
        print_bin(bin, grid, operator, start=start)


def test_a_delivery_and_its_lot_share_one_label(grid, operator):
    code = make_delivery(operator).code
    things = [Thing("lot", code), Thing("delivery", code)]
    printing = print_labels(things=things, grid=grid, act=make_act(operator))
    assert printing.labels.get().thing == "delivery"


def test_a_part_and_its_lot_share_one_label(grid, operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator)
    weigh_out(run, operator, "part", 9 * KG, pieces=3)
    code = Part.objects.earliest("pk").code
    printing = print_labels(things=[Thing("lot", code)], grid=grid, act=make_act(operator))
    assert printing.labels.get().thing == "part"


def test_labels_keep_the_order_they_were_asked_in(grid, operator):
    things = [Thing("bin", BinFactory().code) for _number in range(9)][::-1]
    printing = print_labels(things=things, grid=grid, act=make_act(operator))
    assert [label.code for label in printed_labels(printing)] == [thing.code for thing in things]


def test_voiding_says_when_by_whom_and_why(label, operator):
    void_label(label=label, act=make_act(operator, "torn"))
    label.refresh_from_db()
    assert (label.voided_by, label.void_reason) == (operator, "torn")
    assert label.voided_at


def test_voiding_needs_a_reason(label, operator):
    with refused("reason"):
        void_label(label=label, act=make_act(operator))


def test_a_void_label_is_not_voided_again(label, operator):
    void_label(label=label, act=make_act(operator, "torn"))
    with refused("void"):
        void_label(label=label, act=make_act(operator, "torn"))


def test_a_repeated_voiding_changes_nothing(label, operator):
    act = make_act(operator, "torn")
    assert void_label(label=label, act=act) == void_label(label=label, act=act)


def test_after_a_void_label_the_next_one_has_a_new_code(label, bin, grid, operator):
    void_label(label=label, act=make_act(operator, "torn"))
    new = print_bin(bin, grid, operator).labels.get()
    assert new.code != label.code
    assert new.thing_code == bin.code


def test_a_replaced_label_is_void_and_names_its_successor(label, operator):
    new = replace_label(label=label, act=make_act(operator, "lost"))
    label.refresh_from_db()
    assert (label.replaced_by, label.void_reason) == (new, "lost")
    assert new.code != label.code
    assert (new.thing, new.thing_code) == (label.thing, label.thing_code)


def test_a_new_label_is_printed_without_a_reason(label, bin, grid, operator):
    new = replace_label(label=label, act=make_act(operator, "lost"))
    assert print_bin(bin, grid, operator).labels.get() == new


def test_replacing_needs_a_reason(label, operator):
    with refused("reason"):
        replace_label(label=label, act=make_act(operator))


def test_a_void_label_is_not_replaced(label, operator):
    void_label(label=label, act=make_act(operator, "torn"))
    with refused("void"):
        replace_label(label=label, act=make_act(operator, "lost"))


def test_a_repeated_replacing_makes_one_label(label, operator):
    act = make_act(operator, "lost")
    assert replace_label(label=label, act=act) == replace_label(label=label, act=act)
    assert Label.objects.count() == 2


def test_a_void_label_leaves_the_sheet(printed, label, operator):
    void_label(label=label, act=make_act(operator, "torn"))
    assert printed_labels(printed) == []


def test_a_deleted_grid_leaves_its_name(printed, grid):
    grid.delete()
    printed.refresh_from_db()
    assert printed.grid is None
    assert printed.grid_name


def test_a_roll_begins_at_its_only_label(bin, operator):
    roll = RollFactory()
    with refused("start"):
        print_bin(bin, roll, operator, start=2)
