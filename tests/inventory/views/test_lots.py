"""Lots: their list, their pages, and what is done to one."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.actions.lots import hold_lot, move_lot
from inventory.models import Hold, Posting
from inventory.queries.lots import open_lot_in
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

LIST_QUERIES = 10


@pytest.fixture
def full(operator):
    """A bin with 10 kg of blue PE-HD and the lot in it."""
    return make_full_bin(operator, bin_fields={"name": "B-07"})


def act(client, name, lot, **fields):
    return client.post(reverse(f"inventory:lot-{name}", args=[lot.code]), fields, follow=True)


def test_a_move_leads_to_the_bin_and_says_what_happened(floor, full, key):
    _bin, lot = full
    target = BinFactory(name="B-09")
    answer = act(floor, "move", lot, key=key, bin=target.code, mass="2.5")
    assert answer.redirect_chain[0][0] == target.get_absolute_url()
    assert f"2.500\xa0kg moved from {lot.delivery.number} to B-09. P-" in answer.content.decode()
    assert open_lot_in(target).held_mg == 2_500_000


def test_a_move_without_a_mass_takes_all(floor, full, key):
    bin, lot = full
    target = BinFactory()
    act(floor, "move", lot, key=key, other=target.name)
    assert open_lot_in(bin) is None
    assert open_lot_in(target).held_mg == 10 * KG


def test_a_bin_that_was_typed_wins_over_the_one_chosen(floor, full, key):
    _bin, lot = full
    chosen, typed = BinFactory(), BinFactory()
    act(floor, "move", lot, key=key, bin=chosen.code, other=typed.code.lower())
    assert open_lot_in(typed)
    assert open_lot_in(chosen) is None


def test_a_second_tap_moves_nothing_more(floor, full, key):
    _bin, lot = full
    target = BinFactory()
    act(floor, "move", lot, key=key, bin=target.code, mass="2")
    act(floor, "move", lot, key=key, bin=target.code, mass="2")
    assert open_lot_in(target).held_mg == 2 * KG


def test_a_move_of_too_much_is_refused_with_the_form_as_typed(floor, full, key):
    _bin, lot = full
    target = BinFactory()
    answer = act(floor, "move", lot, key=key, bin=target.code, mass="11")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("mass", "short")
    assert "holds only 10.000 kg" in answer.content.decode()
    assert 'value="11"' in answer.content.decode()
    assert Posting.objects.count() == 1


def test_a_move_needs_a_bin(floor, full, key):
    answer = act(floor, "move", full[1], key=key, mass="1")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("other")


def test_a_tare_without_a_mass_does_not_move_everything(floor, full, key):
    target = BinFactory()
    answer = act(floor, "move", full[1], key=key, bin=target.code, tare="1")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("mass")
    assert open_lot_in(target) is None


def test_fitting_bins_come_first_and_the_others_are_left_out(floor, full, operator):
    same, _lot = make_full_bin(operator, bin_fields={"name": "Z-1"})
    make_full_bin(operator, polymer="PP")
    empty = BinFactory(name="A-1")
    form = floor.get(reverse("inventory:lot-move", args=[full[1].code])).context["form"]
    assert form.fits == [same, empty]


def test_the_bin_that_was_asked_for_is_chosen(floor, full):
    target = BinFactory()
    address = reverse("inventory:lot-move", args=[full[1].code])
    text = floor.get(address, {"bin": target.code}).content.decode()
    assert f'value="{target.code}" id="id_bin_0" checked' in text


def test_disposing_needs_a_reason(floor, full, key):
    answer = act(floor, "dispose", full[1], key=key, mass="1")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("reason", "required")
    assert open_lot_in(full[0]).held_mg == 10 * KG


def test_disposing_takes_mass_out(floor, full, key):
    answer = act(floor, "dispose", full[1], key=key, mass="1", reason="oily")
    assert "1.000\xa0kg of" in answer.content.decode()
    assert open_lot_in(full[0]).held_mg == 9 * KG


def test_what_was_found_empty_is_written_off(floor, full, key):
    act(floor, "write-off", full[1], key=key, reason="nothing in it")
    assert open_lot_in(full[0]) is None
    assert Posting.objects.first().kind == "empty"


def test_a_hold_stops_a_move(floor, full, key, operator):
    act(floor, "hold", full[1], key=key, reason="smells")
    answer = act(
        floor, "move", full[1], key="8a6c6d0e-6c0c-4c59-8a5e-0d6f3c7f0001", bin=BinFactory().code
    )
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "on-hold")
    assert Hold.objects.get().placed_role == "operator"


def test_identifying_corrects_a_trade_spelling_and_says_so(desk, operator, key):
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    fields = {"polymer": "hdpe", "identified_by": "float-sink", "reason": "floats in water"}
    answer = act(desk, "identify", lot, key=key, **fields)
    lot.refresh_from_db()
    assert lot.polymer.symbol == "PE-HD"
    assert "hdpe is written PE-HD." in answer.content.decode()


def test_a_lot_of_a_known_polymer_is_not_identified_again(desk, full, key):
    fields = {"polymer": "PP", "identified_by": "mark", "reason": "looks so"}
    answer = act(desk, "identify", full[1], key=key, **fields)
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "known")


def test_an_operator_does_not_identify(floor, full, key):
    assert act(floor, "identify", full[1], key=key).status_code == 403


@pytest.mark.parametrize("name", ["move", "dispose", "write-off", "hold", "identify"])
def test_an_auditor_changes_no_lot(reader, full, name):
    assert act(reader, name, full[1]).status_code == 403


def test_the_list_asks_as_often_for_one_lot_as_for_many(floor, full, operator):
    with CaptureQueriesContext(connection) as one:
        floor.get(reverse("inventory:lot-list"))
    fresh = [make_delivery(operator) for _ in range(26)]
    with CaptureQueriesContext(connection) as many:
        answer = floor.get(reverse("inventory:lot-list"))
    assert (len(fresh), len(answer.context["page"])) == (26, 25)
    assert len(many) <= len(one) <= LIST_QUERIES


@pytest.mark.parametrize(
    ("query", "count"),
    [
        ({}, 2),
        ({"state": "held"}, 1),
        ({"polymer": "PP"}, 1),
        ({"q": "b-07"}, 1),
        ({"kind": "part"}, 0),
        ({"sort": "-held"}, 2),
    ],
)
def test_lots_are_found(floor, full, operator, query, count):
    other = make_delivery(operator, polymer="PP")
    hold_lot(lot=other.lot, act=make_act(operator, "smells"))
    rows = floor.get(reverse("inventory:lot-list"), query).context["page"]
    assert len(rows) == count


def test_an_empty_lot_is_still_found_by_its_code(floor, full, operator, key):
    _bin, lot = full
    act(floor, "write-off", lot, key=key, reason="nothing in it")
    found = floor.get(reverse("inventory:lot-list"), {"q": lot.code}).context["page"]
    assert list(found) == [lot]


def test_the_lot_of_a_delivery_that_was_put_into_a_bin_says_where_it_is(floor, operator):
    bin, lot = BinFactory(name="B-07"), make_delivery(operator).lot
    move_lot(lot=lot, bin=bin, act=make_act(operator))
    seen = floor.get(lot.get_absolute_url()).content.decode()
    assert f'kg in bin <a href="{bin.get_absolute_url()}">B-07</a> since' in seen


def test_a_part_page_offers_no_move(floor, operator, full):
    run = make_run(operator)
    charge = load(run, full[1], operator, 5 * KG).charge
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    part = charge.lot.given.get().target
    text = floor.get(part.get_absolute_url()).content.decode()
    assert reverse("inventory:lot-move", args=[part.code]) not in text


def test_the_make_up_comes_alone_when_the_page_asks_for_it(floor, full):
    address = reverse("inventory:lot-make-up", args=[full[1].code])
    alone = floor.get(address, headers={"hx-request": "true"}).content.decode()
    assert "<html" not in alone
    assert "post-consumer" in alone
    assert "<html" in floor.get(address).content.decode()


def test_an_unknown_code_is_not_found(floor):
    assert floor.get(reverse("inventory:lot-detail", args=["ZZZZZZZZZZZZ"])).status_code == 404


@pytest.mark.parametrize("page", ["lot-move", "lot-dispose"])
@pytest.mark.parametrize(("unit", "is_asked"), [("kg", True), ("g", False)])
def test_kilograms_that_would_fit_as_grams_are_asked_about(desk, full, key, page, unit, is_asked):
    sent = {"key": key, "mass": "20000" if unit == "g" else "50", "unit": unit, "reason": "wet"}
    sent["other"] = BinFactory().name
    form = desk.post(reverse(f"inventory:{page}", args=[full[1].code]), sent).context["form"]
    assert form.has_error("mass", "short")
    assert ("50 kg? In g it would fit: choose g." in form.errors["mass"]) is is_asked
