"""The page and the spreadsheet of yields and gaps."""

import csv
import re
from io import StringIO

import pytest
from django.urls import reverse

from products.models import Design
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import DesignFactory, MachineFactory, load, make_run, weigh_out
from tests.kept import kept
from workshop.actions.runs import close_run
from workshop.models import Run

PAGE, TABLE = "workshop:run-figures", "workshop:run-figures-csv"


def text(answer):
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode().replace("\xa0", " ")).split())


@pytest.fixture
@kept
def pressed(operator):
    """Four kilograms became 3.6 of parts; the rest was named as lost."""
    _bin, lot = make_full_bin(operator)
    run = make_run(
        operator, machine=MachineFactory(name="Press A"), design=DesignFactory(name="Plate")
    )
    load(run, lot, operator, 4 * KG)
    weigh_out(run, operator, "part", 3_600_000, pieces=1)
    close_run(run=run, act=make_act(operator, "spilt"))


def test_it_shows_yield_by_design_and_gap_by_machine_with_the_runs_behind(floor, pressed):
    found = text(floor.get(reverse(PAGE)))
    assert "1 run was closed in these days." in found
    assert "Plate 1 few 4 kg 3.6 kg 90.0 % 90.0 % –" in found
    assert "Press A 1 4 kg 400 g 0 kg 10.000 % no 1" in found


def test_charts_are_drawn_with_units(floor, pressed):
    page = floor.get(reverse(PAGE)).content.decode()
    assert page.count('<svg class="ranges" role="img"') == 3
    assert "100\xa0%</text>" in page


def test_what_somebody_typed_is_no_formula(floor, pressed):
    Run.objects.update(machine=MachineFactory(name="=1+1"))
    Design.objects.update(name="@sum")
    rows = list(csv.reader(StringIO(floor.get(reverse(TABLE)).content.decode())))
    assert {row[1] for row in rows} >= {"'=1+1", "'@sum"}


def test_nobody_is_named(floor, pressed, operator):
    answer = floor.get(reverse(TABLE))
    assert operator.username not in answer.content.decode()
    page = floor.get(reverse(PAGE)).content.decode()
    main = page[page.index("<h1") : page.index("data-person")]
    assert operator.username not in main


def test_days_without_a_run_say_so(floor, pressed):
    assert "No run was closed in these days" in text(floor.get(reverse(PAGE), {"year": "2001"}))


def test_wrong_days_are_refused_with_what_was_typed(floor):
    answer = floor.get(reverse(PAGE), {"month": "2026-14"})
    assert answer.status_code == 422
    assert b'value="2026-14"' in answer.content
    assert floor.get(reverse(TABLE), {"month": "2026-14"}).status_code == 422


def test_the_spreadsheet_has_every_group(floor, pressed):
    rows = list(csv.DictReader(StringIO(floor.get(reverse(TABLE)).content.decode())))
    assert [(row["group"], row["name"], row["share"]) for row in rows] == [
        ("yield by design", "Plate", "0.900000"),
        ("gap by machine", "Press A", "0.100000"),
        ("gap by operation", "press", "0.100000"),
    ]
    assert rows[1]["gap_mg"] == "400000"


def test_it_asks_a_fixed_number_of_times(floor, pressed, django_assert_max_num_queries):
    floor.get(reverse(PAGE))
    with django_assert_max_num_queries(14):
        floor.get(reverse(PAGE))
