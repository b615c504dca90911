"""The page of a polymer's sheet."""

import pytest
from django.urls import reverse

from tests.factories.inventory import make_full_bin, polymer

QUERIES = 12


def sheet(client, symbol):
    return client.get(reverse("inventory:polymer-detail", args=[symbol]))


def test_the_sheet_names_windows_drying_sources_and_what_never_meets(floor):
    text = sheet(floor, "PET").content.decode()
    assert "271 to 310" in text
    assert "121 to 135" in text
    assert "Always dry it before it is melted." in text
    assert "General injection processing guideline table" in text
    assert "Never in one machine, granulator or dryer with" in text


@pytest.mark.parametrize("symbol", ["PVC-U", "POM"])
def test_reject_material_says_so_large_and_why(floor, symbol):
    text = sheet(floor, symbol).content.decode()
    assert "Reject: do not grind it, do not heat it" in text
    assert polymer(symbol).reject_reason in text
    assert "Temperatures to work at" not in text


def test_it_says_why_ceiling_and_decomposition_differ(floor):
    text = sheet(floor, "PS").content.decode()
    assert "Two figures, never one" in text
    assert "415 to 425 °C" in text


def test_only_the_lead_is_offered_own_values(floor, desk):
    href = reverse("inventory:own-figure", args=["PP", "press-platen"])
    assert href not in sheet(floor, "PP").content.decode()
    assert href in sheet(desk, "PP").content.decode()


def test_a_polymer_that_nobody_knows_is_not_found(floor):
    assert sheet(floor, "PX").status_code == 404


def test_list_bin_and_lot_lead_to_the_sheet(floor, operator):
    bin, lot = make_full_bin(operator, polymer="PP")
    href = f'href="{reverse("inventory:polymer-detail", args=["PP"])}"'
    for address in (
        reverse("inventory:polymer-list"),
        bin.get_absolute_url(),
        lot.get_absolute_url(),
    ):
        assert href in floor.get(address).content.decode()


def test_the_page_keeps_to_its_queries(floor, django_assert_max_num_queries):
    with django_assert_max_num_queries(QUERIES):
        sheet(floor, "PP")
