"""A void label is not taken for its thing where mass moves; the label that replaced it is."""

import pytest
from django.urls import reverse

from products.actions.labels import print_labels, replace_label
from products.queries.things import Thing
from tests.factories.grids import GridFactory
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run

pytestmark = pytest.mark.django_db
VOID = "void since"


@pytest.fixture
def bin():
    return BinFactory()


@pytest.fixture
def renew(operator):
    """Print a label of a thing, replace it and return the new one; the old one has its own code."""

    def renew_one(kind, code):
        act = make_act(operator)
        printing = print_labels(things=[Thing(kind, code)], grid=GridFactory(), act=act)
        return replace_label(label=printing.labels.get(), act=make_act(operator, "lost"))

    return renew_one


@pytest.fixture
def move_url(operator):
    return reverse("inventory:lot-move", args=[make_full_bin(operator)[1].code])


@pytest.fixture
def yield_url(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 9 * KG)
    return reverse("workshop:run-yield", args=[run.code]) + "?kind=offcut"


def test_nothing_moves_into_a_bin_by_its_void_label(floor, move_url, bin, renew, key):
    new = renew("bin", bin.code)
    answer = floor.post(move_url, {"key": key, "other": bin.code})
    assert (answer.status_code, VOID in answer.content.decode()) == (422, True)
    assert not bin.lots.exists()
    floor.post(move_url, {"key": key, "other": new.code})
    assert bin.lots.open().exists()


def test_a_move_done_before_the_label_was_void_is_answered_as_the_first_time(
    floor, move_url, bin, renew, key
):
    floor.post(move_url, {"key": key, "other": bin.code})
    renew("bin", bin.code)
    assert floor.post(move_url, {"key": key, "other": bin.code}).url == bin.get_absolute_url()
    assert bin.lots.count() == 1


def test_nothing_is_put_into_a_bin_from_a_void_label(floor, bin, operator, renew):
    delivery, url = make_delivery(operator), reverse("inventory:bin-put", args=[bin.code])
    new = renew("delivery", delivery.code)
    refused = floor.get(url, {"code": delivery.code})
    assert (refused.status_code, VOID in refused.content.decode()) == (422, True)
    assert delivery.lot.code in floor.get(url, {"code": new.code}).url


def test_nothing_is_weighed_into_a_bin_by_its_void_label(floor, yield_url, bin, renew, key):
    new = renew("bin", bin.code)
    sent = {"key": key, "mass": "1", "where": "other", "other": bin.code}
    answer = floor.post(yield_url, sent)
    assert (answer.status_code, VOID in answer.content.decode()) == (422, True)
    floor.post(yield_url, sent | {"other": new.code})
    assert bin.lots.open().exists()


def test_nothing_is_loaded_from_a_void_label(floor, operator, renew):
    delivery, run = make_delivery(operator), make_run(operator, "granulate")
    url, new = reverse("workshop:run-load", args=[run.code]), renew("delivery", delivery.code)
    answer = floor.get(url, {"from": delivery.code})
    assert (answer.status_code, VOID in answer.content.decode()) == (422, True)
    assert floor.get(url, {"from": new.code}).context["lot"] == delivery.lot


def test_what_is_chosen_on_the_page_needs_no_label(floor, operator, renew):
    delivery, run = make_delivery(operator), make_run(operator)
    url, _new = reverse("workshop:run-load", args=[run.code]), renew("delivery", delivery.code)
    assert f"?from={delivery.code}&amp;chosen=1" in floor.get(url).content.decode()
    chosen = floor.get(url, {"from": delivery.code, "chosen": "1"})
    assert chosen.context["lot"] == delivery.lot
