"""What a typed or scanned text leads to."""

import pytest

from inventory.calculations.codes import group_code
from products.models import Part
from tests.factories.inventory import KG, BinFactory, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from workshop.models import Charge
from workshop.queries.codes import bin_called, lot_called, thing_called

pytestmark = pytest.mark.django_db


@pytest.fixture
def bin(db):
    return BinFactory(name="B-07", code="ABCD10GHJKMN")


@pytest.mark.parametrize(
    "text",
    [
        "B-07",
        "b-07",
        " B-07 ",
        "b07",
        "B 07",
        "ABCD10GHJKMN",
        "abcd-1ogh-jkmn",
        "ABCD IOGH JKMN",
        "https://shop.example/q/ABCD10GHJKMN/",
        "http://10.0.0.7:8000/q/B-07",
        "B-O7",
        "bo7",
        "]Q1B-07",
        "B\u201107",
    ],
)
def test_finds_a_bin_however_it_is_written(bin, text):
    assert thing_called(text) == bin


@pytest.mark.parametrize(
    "text", ["", "  ", "-", "B-08", "R-1", "P-99", "D-0", "ABCD10GHJKMU", "R-OIL", "\x00"]
)
def test_what_names_nothing_leads_nowhere(bin, text):
    assert thing_called(text) is None


def test_finds_a_run_by_number_and_code(operator):
    run = make_run(operator)
    assert thing_called(run.number) == run
    assert thing_called(group_code(run.code)) == run


def test_finds_a_run_by_a_number_with_look_alikes(operator):
    run = make_run(operator)
    assert thing_called(run.number.replace("0", "o")) == run


def test_of_two_names_that_look_alike_neither_is_guessed(bin):
    BinFactory(name="B-O7")
    assert thing_called("B-07") == bin
    BinFactory(name="X-O1")
    BinFactory(name="X-0I")
    assert thing_called("X-01") is None


def test_finds_a_delivery_by_number_and_its_lot_by_code(operator):
    delivery = make_delivery(operator)
    assert thing_called(delivery.number) == delivery
    assert thing_called(delivery.code) == delivery.lot


def test_finds_a_posting_by_number(operator):
    posting = make_delivery(operator).lot.filled_by
    assert thing_called(posting.number) == posting


def test_the_code_of_a_charge_leads_to_its_run(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, KG)
    assert thing_called(Charge.objects.get().lot.code) == run


def test_the_code_of_a_part_leads_to_the_part(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 4 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    part = Part.objects.get()
    assert thing_called(part.code) == part
    assert lot_called(part.code) == part.lot


def test_a_bin_gives_the_lot_that_it_holds(operator):
    bin, lot = make_full_bin(operator)
    assert lot_called(bin.name) == lot


def test_an_empty_bin_gives_nothing(bin):
    assert lot_called(bin.name) is None


def test_a_run_is_nothing_to_load_from(operator):
    assert lot_called(make_run(operator).number) is None


def test_only_a_bin_is_a_bin(bin, operator):
    assert bin_called("b07") == bin
    assert bin_called(make_run(operator).number) is None
