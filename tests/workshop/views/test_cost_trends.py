"""The report of a design's time, energy and cost."""

import csv
from io import StringIO

import pytest
from django.urls import reverse

from products.models import Design
from tests.factories.costs import put_price, put_rate, set_euro
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_run, weigh_out
from tests.kept import kept
from workshop.actions.runs import close_run

pytestmark = pytest.mark.django_db
PAGE, TABLE = reverse("workshop:cost-trend"), reverse("workshop:cost-trend-csv")


def text(answer):
    return answer.content.decode().replace("\xa0", " ")


@pytest.fixture
@kept
def design(lead):
    """A design of which one run was closed: a kilogram became 750 g of two parts."""
    set_euro(lead)
    put_rate(lead, "labour", 18)
    design = DesignFactory(name="Plate")
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.4")
    run = make_run(lead, design=design)
    load(run, lot, lead, KG)
    weigh_out(run, lead, "part", 750_000, pieces=2)
    weigh_out(run, lead, "offcut", 250_000, bin=BinFactory())
    close_run(run=run, act=make_act(lead))
    return design


def test_a_design_is_chosen_first(floor, design):
    found = text(floor.get(PAGE))
    assert f"design={design.pk}&amp;start=" in found
    assert "1 run" in found


def test_its_months_are_drawn_with_units_and_its_savings_told(floor, design):
    found = text(floor.get(PAGE, {"design": design.pk}))
    assert found.count('<svg class="ranges" role="img"') == 3
    for said in (
        "Minutes worked for each piece",
        "EUR for each piece",
        "Offcuts in % of the charge",
    ):
        assert said in found
    for said in ("25.0 %", "One minute a piece", "1 run only at least", "f = 0.01 ÷ (y + 0.01)"):
        assert said in found


def test_the_spreadsheet_has_the_same_figures(floor, design):
    answer = floor.get(TABLE, {"design": design.pk})
    rows = list(csv.DictReader(StringIO(answer.content.decode())))
    offcut = next(row for row in rows if row["figure"] == "offcut")
    assert (offcut["median"], offcut["unit"], offcut["runs"]) == ("0.250000", "share", "1")
    assert "saved a year: minute" in {row["figure"] for row in rows}
    money = [row["median"] for row in rows if row["unit"] == "EUR"]
    assert money
    assert {len(amount.partition(".")[2]) for amount in money} == {2}


def test_what_somebody_typed_is_no_formula(floor, design):
    Design.objects.update(name="=1+1")
    assert "'=1+1" in floor.get(TABLE, {"design": design.pk}).content.decode()


def test_days_without_a_run_say_so(floor, design):
    asked = {"design": design.pk, "year": "2001"}
    assert "No run of it was closed in these days" in text(floor.get(PAGE, asked))
    assert "No run of a design was closed" in text(floor.get(PAGE, {"year": "2001"}))


@pytest.mark.parametrize("address", [PAGE, TABLE])
@pytest.mark.parametrize("asked", [{"month": "2026-14"}, {"design": "999999"}, {"design": "x"}])
def test_what_is_no_question_is_refused(floor, address, asked):
    assert floor.get(address, asked).status_code == 422


def test_nobody_is_named(floor, design, lead):
    assert lead.username not in floor.get(TABLE, {"design": design.pk}).content.decode()


def test_the_report_of_yields_leads_there(floor, design):
    assert PAGE in text(floor.get(reverse("workshop:run-figures")))
