"""The start page."""

import pytest
from django.urls import reverse

from inventory.actions.lots import hold_lot
from tests.factories.inventory import KG, make_act, make_delivery, make_full_bin, polymer
from tests.factories.workshop import DesignFactory, MachineFactory, load, make_run, weigh_out

pytestmark = pytest.mark.django_db


def text(client):
    return client.get("/").content.decode()


def test_an_empty_book_says_what_to_do_first(floor):
    answer = floor.get("/")
    assert answer.status_code == 200
    assert "Receive the first delivery" in answer.content.decode()


def test_the_main_act_is_to_open_a_run(floor):
    assert reverse("workshop:run-open") in text(floor)


def test_an_auditor_is_offered_no_act(reader):
    assert reverse("workshop:run-open") not in text(reader)


def test_an_open_run_says_what_it_waits_for(floor, operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    page = text(floor)
    assert run.number in page
    assert "weigh out" in page


def test_a_hold_is_shown_with_its_reason(floor, operator):
    _bin, lot = make_full_bin(operator)
    hold_lot(lot=lot, act=make_act(operator, "smells of solvent"))
    assert "smells of solvent" in text(floor)


def test_an_unknown_delivery_needs_a_decision(floor, operator):
    make_delivery(operator, polymer=None, identified_by="unknown")
    assert "nobody knows what it is" in text(floor)


def test_a_delivery_in_no_bin_needs_a_decision(floor, operator):
    make_delivery(operator)
    assert "stands in no bin yet" in text(floor)


def test_a_gap_needs_a_decision(floor, operator):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    load(run, lot, operator, KG)
    assert "of charge 1 is not accounted for" in text(floor)


def test_a_machine_to_be_purged_needs_a_decision(floor, operator):
    design = DesignFactory()
    design.polymers.set([polymer("PE-HD")])
    machine = MachineFactory(kind="press", last_polymer=polymer("PP"))
    make_run(operator, design=design, machine=machine)
    assert reverse("workshop:machine-purge", args=[machine.pk]) in text(floor)


def test_stock_is_told_by_mark(floor, operator):
    make_full_bin(operator, polymer="PP")
    assert "&gt;PP&lt;" in text(floor)


def test_asks_the_same_however_much_is_open(floor, operator, django_assert_max_num_queries):
    for _number in range(4):
        run = make_run(operator)
        load(run, make_full_bin(operator)[1], operator, KG)
        make_delivery(operator, polymer=None, identified_by="unknown")
    with django_assert_max_num_queries(16):
        floor.get("/")
