"""The page and the spreadsheet of the mass flows."""

import csv
import re
from collections import defaultdict
from io import StringIO

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone

from inventory.calculations.periods import year_of
from inventory.queries.flows import flow_of
from products.actions.fixings import put_in
from products.actions.parts import hand_over_part
from products.models import Part
from products.queries.flow_themes import MATERIAL_THEMES, MOST_COLUMNS
from products.views import flows
from tests.factories.fixings import clip_design, made, stool_design
from tests.factories.flows import held_at
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept
from workshop.actions.runs import close_run

PAGE, TABLE = "products:flow-report", "products:flow-csv"


def this_month():
    return {"month": timezone.localdate().strftime("%Y-%m")}


def text(answer):
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode().replace("\xa0", " ")).split())


@pytest.fixture
@kept
def worked(operator):
    """Ten kilograms came, five were pressed, one part of four went into use."""
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    weigh_out(run, operator, "offcut", KG - 7, bin=BinFactory())
    close_run(run=run, act=make_act(operator, "swept up"))
    hand_over_part(part=Part.objects.get(), act=make_act(operator))
    return run


def test_the_page_says_that_it_balances_and_shows_every_line(floor, worked):
    found = text(floor.get(reverse(PAGE), this_month()))
    assert "Yes, to the milligram" in found
    for line in ("+ received 10.000", "parts made 4.000", "lost, with a reason &lt; 0.001"):
        assert line in found
    assert "parts handed over 4.000" in found
    assert "In use at the start: 0 kg, at the end: 4 kg." in found


def test_the_picture_has_its_figures_as_a_table(floor, worked):
    answer = floor.get(reverse(PAGE))
    assert b'<svg class="flow" role="img"' in answer.content
    found = text(answer)
    assert "Received Bins 10.000" in found
    assert "Machines Parts 4.000" in found
    assert "Offcuts Bins 1.000" in found


@pytest.mark.parametrize(("name", "pattern"), [("month", "%Y-%m"), ("year", "%Y")])
def test_every_column_of_the_steps_has_its_heading(floor, worked, name, pattern):
    period = {name: timezone.localdate().strftime(pattern)}
    page = floor.get(reverse(PAGE), period).content.decode()
    steps = page.partition("steps-title")[2].partition("</section>")[0]
    tables = re.findall(r"<table.*?</table>", steps, re.DOTALL)
    assert len(tables) == {"month": 1, "year": 4}[name]
    for table in tables:
        head, *rows = re.findall(r"<tr.*?</tr>", table, re.DOTALL)
        assert rows
        assert {len(re.findall("<t[hd]", row)) for row in rows} == {len(re.findall("<th", head))}


def test_the_months_stand_below_each_other_in_tables_that_need_no_sliding(floor, worked):
    page = floor.get(reverse(PAGE), {"year": timezone.localdate().year})
    themes = page.context["themes"]
    lines = page.context["steps"].rows
    assert sorted(line.label for theme in themes for line in theme.columns) == sorted(
        line.label for line in lines
    )
    assert max(len(theme.columns) for theme in themes) <= MOST_COLUMNS
    for theme in themes:
        assert [[mass_mg for _kind, mass_mg in cells] for _step, cells in theme.rows] == [
            [line.cells[at] for line in theme.columns] for at in (*range(1, 13), 0)
        ]
    assert "parts handed over" in text(page)


def test_every_column_of_the_materials_stands_in_one_of_their_tables(floor, worked):
    shown = floor.get(reverse(PAGE)).context
    (row,) = shown["materials"].rows[:1]
    parts = shown["material_themes"]
    assert sorted(at for wanted, _title in MATERIAL_THEMES for at in wanted) == [
        *range(len(row.cells))
    ]
    assert {len(theme.columns) - len(cells) for theme in parts for _row, cells in theme.rows} == {1}


def test_every_table_of_masses_has_one_unit_by_its_largest_figure(floor, worked):
    found = text(floor.get(reverse(PAGE)))
    for heading in ("Mass in kg", "Line, masses in kg", "Material, in kg"):
        assert heading in found
    tables = re.findall(r"<table.*?</table>", floor.get(reverse(PAGE)).content.decode(), re.DOTALL)
    assert len(tables) == 8
    assert [re.findall(r"[0-9]\s*(?:&nbsp;|\xa0)?(?:kg|g|mg)<", table) for table in tables] == [
        []
    ] * 8


def test_days_without_anything_say_so(floor, worked):
    found = text(floor.get(reverse(PAGE), {"year": "2001"}))
    assert "Nothing was there and nothing happened" in found


def test_an_empty_book_is_a_page_too(floor):
    assert "Nothing was there" in text(floor.get(reverse(PAGE)))


def test_wrong_days_are_refused_with_what_was_typed(floor, worked):
    answer = floor.get(reverse(PAGE), {"start": "2026-03-02", "end": "2026-03-01"})
    assert answer.status_code == 422
    assert b'value="2026-03-02"' in answer.content
    assert "It ends before it begins" in text(answer)
    assert floor.get(reverse(TABLE), {"month": "x"}).status_code == 422


def test_one_material_is_shown_by_itself(floor, worked, operator):
    make_delivery(operator, colour="red")
    found = text(floor.get(reverse(PAGE), this_month() | {"polymer": "PE-HD", "colour": "red"}))
    assert "Only" in found
    assert "parts made –" in found
    assert "Each material" not in found


@pytest.mark.parametrize(
    "sent",
    [{}, {"month": "2026-03"}, {"year": "2026"}, {"start": "1990-01-01", "end": "2040-12-31"}],
)
def test_each_role_may_read_it_by_months_and_by_years(floor, desk, reader, worked, sent):
    for client in (floor, desk, reader):
        assert client.get(reverse(PAGE), sent).status_code == 200


def test_a_login_without_a_role_reads_nothing(client, db):
    client.force_login(User.objects.create_user("nobody-yet"))
    assert client.get(reverse(PAGE)).status_code == 403


def test_many_materials_come_in_pages(floor, operator, monkeypatch):
    monkeypatch.setattr(flows, "PER_PAGE", 1)
    for name in ("blue", "red"):
        make_delivery(operator, colour=name)
    answer = floor.get(reverse(PAGE), {"page": "2"})
    assert "2 to 2 of 2" in text(answer)


def test_it_asks_as_often_for_a_lot_as_for_little(
    floor, worked, operator, django_assert_max_num_queries
):
    for name in ("red", "white", "black"):
        make_delivery(operator, colour=name)
    floor.get(reverse(PAGE))
    with django_assert_max_num_queries(22):
        floor.get(reverse(PAGE))


def test_the_spreadsheet_ties_line_by_line(floor, worked):
    year = year_of(timezone.localdate())
    answer = floor.get(reverse(TABLE), {"year": str(year.start.year)})
    rows = list(csv.DictReader(StringIO(answer.content.decode())))
    signs = {"opening": 1, "in": 1, "out": -1, "closing": -1}
    sums, ends = defaultdict(int), defaultdict(int)
    for row in rows:
        if row["place"] != "in use":
            key = (row["from"], row["place"], row["polymer"], row["colour"])
            sums[key] += signs[row["direction"]] * int(row["mass_mg"])
            ends[row["direction"], row["to"]] += int(row["mass_mg"])
        whole, _point, part = row["mass_kg"].partition(".")
        assert int(whole) * KG + int(part.ljust(6, "0") or 0) == int(row["mass_mg"])
    assert set(sums.values()) == {0}
    assert ends["closing", year.last.isoformat()] == sum(held_at(year.end).values())
    assert flow_of(year).whole().closing_mg == sum(held_at(year.end).values())


def test_the_spreadsheet_tells_of_parts_in_use(floor, worked):
    rows = list(csv.DictReader(StringIO(floor.get(reverse(TABLE)).content.decode())))
    used = {row["line"]: row["mass_kg"] for row in rows if row["place"] == "in use"}
    assert used == {"handed over": "4.000000", "in use at the end": "4.000000"}


def test_what_is_in_a_product_in_use_stands_on_the_page_and_in_the_spreadsheet(floor, operator):
    clip = clip_design()
    stool = made(operator, stool_design(operator, clip), 4 * KG)
    put_in(holder=stool, part=made(operator, clip, KG), act=make_act(operator))
    hand_over_part(part=stool, act=make_act(operator))
    assert "at the end: 5 kg." in text(floor.get(reverse(PAGE)))
    rows = list(csv.DictReader(StringIO(floor.get(reverse(TABLE)).content.decode())))
    used = {row["line"]: row["mass_kg"] for row in rows if row["place"] == "in use"}
    assert used == {"handed over": "5.000000", "in use at the end": "5.000000"}
