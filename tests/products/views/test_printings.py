"""The sheet before it is printed, the print, and its PDF."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from products.actions.labels import void_label
from products.models import Label, Part, Printing
from products.queries import sheets
from tests.factories.grids import GridFactory, RollFactory
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db
PRINT = reverse("products:label-print")
PREVIEW = reverse("products:label-preview")


@pytest.fixture
def bin(operator):
    return make_full_bin(operator)[0]


@pytest.fixture
def grid():
    return GridFactory()


@pytest.fixture
def run(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator)
    weigh_out(run, operator, "part", 9 * KG, pieces=3)
    return run


def sent(bin, grid, **changes):
    fields = {"key": str(uuid4()), "things": f"bin:{bin.code}", "grid": grid.pk, "start": "1"}
    return fields | changes


def test_the_page_shows_what_will_be_printed(bin, grid, floor):
    answer = floor.get(PRINT, {"bin": bin.code})
    assert answer.context["names"] == [bin.name]
    assert f"{PREVIEW}?bin={bin.code}" in answer.content.decode()


def test_nothing_chosen_is_said(grid, floor):
    assert "Nothing is chosen" in floor.get(PRINT).content.decode()


def test_without_a_grid_the_lead_is_asked_for_one(bin, floor):
    assert "No sheet or roll" in floor.get(PRINT, {"bin": bin.code}).content.decode()


def test_the_parts_of_a_run_are_printed_together(run, grid, floor):
    assert floor.get(PRINT, {"run": run.number}).context["count"] == 3


def test_a_range_of_bins_is_printed_together(grid, floor):
    for name in ("X-1", "X-2", "X-3"):
        BinFactory(name=name)
    answer = floor.get(PRINT, {"kind": "bin", "from": "X-1", "to": "X-2"})
    assert answer.context["names"] == ["X-1", "X-2"]


def test_all_that_a_list_shows_are_printed_together(bin, grid, floor):
    BinFactory(name="Z-99")
    assert floor.get(PRINT, {"pick": "bin", "q": "Z-99"}).context["names"] == ["Z-99"]


def test_a_tap_on_a_label_begins_there(bin, grid, floor):
    answer = floor.get(PRINT, {"bin": bin.code, "start": "5", "grid": grid.pk})
    page = answer.content.decode()
    assert answer.context["start"] == 5
    assert f"?bin={bin.code}&amp;grid={grid.pk}&amp;start=24" in page


def test_printing_leads_to_the_sheet(bin, grid, floor):
    answer = floor.post(PRINT, sent(bin, grid, start="3"), follow=True)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"].startswith("inline")
    assert answer.content.startswith(b"%PDF")
    assert Printing.objects.get().start == 3


def test_a_second_tap_prints_once(bin, grid, floor):
    fields = sent(bin, grid)
    assert floor.post(PRINT, fields).url == floor.post(PRINT, fields).url
    assert Printing.objects.count() == 1


def test_looking_at_another_grid_prints_nothing(bin, grid, floor):
    roll = RollFactory()
    answer = floor.post(PRINT, sent(bin, roll, look="1"))
    assert (answer.status_code, answer.context["grid"]) == (200, roll)
    assert not Printing.objects.exists()


def test_a_reprint_asks_why(bin, grid, floor):
    floor.post(PRINT, sent(bin, grid))
    assert floor.get(PRINT, {"bin": bin.code}).context["again"] == 1
    answer = floor.post(PRINT, sent(bin, grid))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "reason")
    assert Printing.objects.count() == 1


def test_a_reprint_with_a_reason_is_logged(bin, grid, floor):
    floor.post(PRINT, sent(bin, grid))
    floor.post(PRINT, sent(bin, grid, reason="smudged"))
    assert Printing.objects.first().reason == "smudged"
    assert Label.objects.count() == 1


@pytest.mark.parametrize(
    "change", [{"start": "25"}, {"start": "x"}, {"things": "bin:" + "0" * 12}, {"things": "sofa"}]
)
def test_what_cannot_be_printed_is_refused(bin, grid, floor, change):
    answer = floor.post(f"{PRINT}?bin={bin.code}", sent(bin, grid, **change))
    assert answer.status_code == 422
    assert not Printing.objects.exists()


def test_another_address_is_refused(bin, grid, floor, settings):
    floor.post(PRINT, sent(bin, grid))
    settings.SITE_URL = "https://other.example"
    answer = floor.post(PRINT, sent(BinFactory(), grid))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "address-frozen")


def test_a_code_too_small_to_read_is_said(bin, floor):
    RollFactory(page_width_mm=30, page_height_mm=15, label_width_mm=30, label_height_mm=15)
    page = floor.get(PRINT, {"bin": bin.code}).content.decode()
    assert "some scanners will not read it" in page


def test_an_auditor_prints_nothing(bin, grid, reader):
    assert reader.post(PRINT, sent(bin, grid)).status_code == 403


def test_the_preview_is_the_first_sheet(bin, grid, floor):
    answer = floor.get(PREVIEW, {"bin": bin.code, "grid": grid.pk, "start": "2"})
    assert answer["Content-Type"] == "image/svg+xml"
    assert b'width="210mm" height="297mm"' in answer.content


@pytest.mark.parametrize("query", [{}, {"bin": "0" * 12}, {"run": "R-9999"}])
def test_a_preview_of_nothing_is_not_found(grid, floor, query):
    assert floor.get(PREVIEW, query).status_code == 404


def test_a_preview_beyond_the_sheet_is_not_found(bin, grid, floor):
    assert floor.get(PREVIEW, {"bin": bin.code, "start": "25"}).status_code == 404


def test_the_page_asks_the_same_for_many(run, bin, grid, floor, django_assert_max_num_queries):
    with django_assert_max_num_queries(28):
        floor.get(PRINT, {"run": run.number, "bin": bin.code})


def test_a_printing_is_shown_with_its_labels_and_sheet(bin, grid, reader, floor):
    floor.post(PRINT, sent(bin, grid))
    printing = Printing.objects.get()
    page = reader.get(printing.get_absolute_url()).content.decode()
    assert reverse("products:printing-sheet", args=[printing.uuid]) in page
    assert Label.objects.get().get_absolute_url() in page


def test_without_its_grid_a_printing_has_no_sheet(bin, grid, floor):
    floor.post(PRINT, sent(bin, grid))
    grid.delete()
    printing = Printing.objects.get()
    assert "no sheet" in floor.get(printing.get_absolute_url()).content.decode()
    sheet = reverse("products:printing-sheet", args=[printing.uuid])
    assert floor.get(sheet).status_code == 404


def test_the_page_of_a_run_offers_the_labels_of_its_parts(run, floor):
    page = floor.get(run.get_absolute_url()).content.decode()
    assert f"{PRINT}?run={run.number}" in page
    part = Part.objects.first()
    assert f"{PRINT}?part={part.code}" in floor.get(part.get_absolute_url()).content.decode()


@pytest.fixture
def old(bin, grid, floor, monkeypatch):
    """A printing whose sheet went to the printer long ago."""
    floor.post(PRINT, sent(bin, grid, start="5"))
    monkeypatch.setattr(sheets, "OPEN_FOR", timedelta(0))
    return Printing.objects.get()


def test_an_old_sheet_is_not_opened_again_but_printed_again(old, floor):
    answer = floor.get(reverse("products:printing-sheet", args=[old.uuid]))
    page = answer.content.decode()
    assert answer.status_code == 410
    assert "Its sheet is closed" in page
    assert f"{PRINT}?printing={old.uuid}" in page


def test_printing_an_old_sheet_again_asks_why_and_offers_the_same_sheet(old, bin, grid, floor):
    answer = floor.get(PRINT, {"printing": old.uuid})
    assert (answer.context["names"], answer.context["again"]) == ([bin.name], 1)
    assert answer.context["grid"] == grid


def test_void_labels_of_an_old_sheet_are_printed_no_more(old, floor, operator):
    void_label(label=old.labels.get(), act=make_act(operator, "torn"))
    assert floor.get(PRINT, {"printing": old.uuid}).context["count"] == 0


@pytest.mark.parametrize("uuid", ["", "x", "0" * 32])
def test_a_printing_that_there_is_not_names_nothing(grid, floor, uuid):
    assert floor.get(PRINT, {"printing": uuid}).context["count"] == 0


def test_a_fresh_sheet_may_be_opened_again_when_the_printer_jams(bin, grid, floor):
    sheet = floor.post(PRINT, sent(bin, grid)).url
    assert [floor.get(sheet).status_code for _time in "ab"] == [200, 200]


def test_an_auditor_is_not_asked_to_print_an_old_sheet(old, reader):
    page = reader.get(old.get_absolute_url()).content.decode()
    assert "Its sheet is closed" in page
    assert "?printing=" not in page


def test_things_called_alike_are_named_once_with_their_number(run, grid, floor):
    design = Part.objects.first().design
    assert floor.get(PRINT, {"run": run.number}).context["names"] == [f"{design.name} (3)"]


def test_a_printing_names_what_its_labels_are_on(bin, grid, reader, floor):
    floor.post(PRINT, sent(bin, grid))
    page = reader.get(Printing.objects.get().get_absolute_url()).content.decode()
    assert bin.name in page
