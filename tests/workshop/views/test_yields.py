"""The page that weighs out."""

import pytest
from django.urls import reverse

from products.models import Part
from tests.factories.inventory import (
    KG,
    BinFactory,
    colour,
    make_act,
    make_full_bin,
    polymer,
)
from tests.factories.workshop import DesignFactory, load, make_part, make_run, weigh_out
from tests.kept import kept
from workshop.actions.cycles import count_cycle
from workshop.calculations.operations import RULES
from workshop.models import Yield

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def run(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 9 * KG)
    return run


@pytest.fixture
def url(run):
    return reverse("workshop:run-yield", args=[run.code])


@pytest.fixture
def bin(db):
    return BinFactory(name="B-30")


def test_first_asks_what_came_out(floor, url):
    page = floor.get(url).content.decode()
    assert [kind for kind in RULES["press"].yields if f"?kind={kind}" in page] == [
        "part", "reject", "offcut", "dust", "leftover",
    ]  # fmt: skip


@pytest.mark.parametrize("kind", ["purging", "material", "nonsense"])
def test_a_kind_that_pressing_does_not_give_is_not_asked_for(kind, floor, url):
    assert "form" not in floor.get(url, {"kind": kind}).context


def test_an_unloaded_run_is_loaded_first(floor, operator):
    url = reverse("workshop:run-yield", args=[make_run(operator).code])
    assert "Load it first" in floor.get(url, {"kind": "part"}).content.decode()


def test_parts_are_weighed_together(floor, url, key):
    sent = {"key": key, "pieces": "2", "mass": "8.1", "counted": "together"}
    answer = floor.post(f"{url}?kind=part", sent, follow=True)
    assert [part.lot.in_mg for part in Part.objects.all()] == [4_050_000, 4_050_000]
    assert "2 pieces, 8.1\u00a0kg, came out" in answer.content.decode()


def test_parts_are_weighed_each(floor, url, key):
    sent = {"key": key, "pieces": "2", "mass": "4.1", "counted": "each"}
    floor.post(f"{url}?kind=part", sent)
    assert Yield.objects.get().mass_mg == 8_200_000


def test_the_mass_of_the_design_stands_beside_the_field(floor, url):
    page = floor.get(url, {"kind": "part"}).content.decode()
    assert "One piece, by the design" in page
    assert "4\u00a0kg" in page


FAR_OFF = {"pieces": "3", "mass": "6", "counted": "together"}


def test_pieces_far_off_the_design_are_asked_back_with_the_figures_kept(floor, url, key):
    answer = floor.post(f"{url}?kind=part", {"key": key} | FAR_OFF)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert answer.context["form"].has_error("mass", "surprising")
    assert "Yes, 3 pieces, 6\u00a0kg is right" in page
    assert 'value="6"' in page
    assert not Yield.objects.exists()


def test_one_tap_confirms_what_was_asked_back(floor, url, key):
    sent = {"key": key} | FAR_OFF
    form = floor.post(f"{url}?kind=part", sent).context["form"]
    answer = floor.post(f"{url}?kind=part", sent | {"confirmed": form.asked_token}, follow=True)
    assert Yield.objects.get().mass_mg == 6 * KG
    assert "should weigh" not in answer.content.decode()


def test_a_tap_confirms_no_other_figure_than_the_one_asked_back(floor, url, key):
    sent = {"key": key} | FAR_OFF
    form = floor.post(f"{url}?kind=part", sent).context["form"]
    sent |= {"confirmed": form.asked_token, "mass": "0.6"}
    assert floor.post(f"{url}?kind=part", sent).status_code == 422
    assert not Yield.objects.exists()


def test_after_weighing_out_the_page_asks_what_else_came(floor, url, key):
    sent = {"key": key, "pieces": "2", "mass": "8", "counted": "together"}
    answer = floor.post(f"{url}?kind=part", sent, follow=True)
    assert answer.redirect_chain[-1][0] == url
    assert "8\u00a0kg" in answer.content.decode()


def test_offcuts_go_into_the_bin_that_was_chosen(floor, url, bin, key):
    sent = {"key": key, "mass": "1", "where": bin.code}
    answer = floor.post(f"{url}?kind=offcut", sent, follow=True)
    assert Yield.objects.get().bin == bin
    assert "went into B-30" in answer.content.decode()


def suggested(floor, url, kind="offcut", **asked):
    return floor.get(url, {"kind": kind} | asked).context["form"]["where"].value()


def test_the_bin_of_the_same_polymer_and_colour_is_suggested_then_the_mixed_one(
    floor, url, operator, bin
):
    kept = {"polymer": polymer("PE-HD"), "colour": colour("mixed")}
    mixed, _lot = make_full_bin(operator, form="offcut", colour="red", bin_fields=kept)
    assert suggested(floor, url) == mixed.code
    same, _lot = make_full_bin(operator, form="offcut")
    assert suggested(floor, url) == same.code


def test_the_suggested_bin_is_accepted_by_one_tap_and_the_others_are_folded(
    floor, url, operator, key
):
    same, _lot = make_full_bin(operator, form="offcut")
    form = floor.get(url, {"kind": "offcut"}).context["form"]
    assert not form.others_are_open
    sent = {"key": key, "mass": "0.3", "where": form["where"].value()}
    floor.post(f"{url}?kind=offcut", sent)
    assert Yield.objects.get().bin == same


def test_an_empty_bin_kept_for_nothing_is_offered_and_not_suggested(floor, url, bin):
    form = floor.get(url, {"kind": "offcut"}).context["form"]
    assert form["where"].value() is None
    assert form.others_are_open


def test_a_scanned_bin_comes_before_the_suggested_one(floor, url, operator, bin):
    make_full_bin(operator, form="offcut")
    form = floor.get(url, {"kind": "offcut", "bin": bin.code}).context["form"]
    assert form["where"].value() == form.fields["where"].choices[0][0] == bin.code


def test_a_scanned_bin_of_another_polymer_is_refused_before_anything_is_weighed(
    floor, url, operator
):
    other, _lot = make_full_bin(operator, polymer="PP")
    answer = floor.get(url, {"kind": "offcut", "bin": other.code})
    assert answer.status_code == 422
    assert f"{other.name} takes PP" in answer.content.decode()
    assert answer.context["form"]["where"].value() is None


def test_a_scanned_bin_without_a_kind_is_kept_through_the_choice(floor, url, bin):
    page = floor.get(url, {"bin": bin.code}).content.decode()
    assert f"?kind=offcut&amp;bin={bin.code}" in page
    assert "?kind=part" not in page


def test_a_bin_of_another_polymer_is_refused_at_its_field(floor, url, operator, key):
    other, _lot = make_full_bin(operator, polymer="PP")
    sent = {"key": key, "mass": "1", "where": "other", "other": other.name}
    form = floor.post(f"{url}?kind=offcut", sent).context["form"]
    assert form.has_error("other", "polymer-mismatch")


def test_what_the_charge_cannot_give_is_refused_at_the_mass(floor, url, bin, key):
    sent = {"key": key, "mass": "9.5", "where": bin.code}
    form = floor.post(f"{url}?kind=offcut", sent).context["form"]
    assert form.has_error("mass", "short")


@pytest.mark.parametrize(
    ("typed", "is_asked"),
    [(("50", "kg"), True), (("50 kg", "kg"), False), (("50000", "g"), False)],
)
def test_kilograms_that_would_fit_as_grams_are_asked_about(floor, url, bin, key, typed, is_asked):
    sent = {"key": key, "where": bin.code} | dict(zip(("mass", "unit"), typed, strict=True))
    form = floor.post(f"{url}?kind=offcut", sent).context["form"]
    assert form.has_error("mass", "short")
    assert ("50 kg? In g it would fit: choose g." in form.errors["mass"]) is is_asked


def test_the_pieces_counted_in_cycles_are_filled_in(floor, url, run, operator):
    count_cycle(run=run, act=make_act(operator))
    count_cycle(run=run, act=make_act(operator))
    assert floor.get(url, {"kind": "part"}).context["form"]["pieces"].value() == 2


def test_another_bin_is_named(floor, url, bin, key):
    sent = {"key": key, "mass": "1", "where": "other", "other": "b30"}
    floor.post(f"{url}?kind=offcut", sent)
    assert Yield.objects.get().bin == bin


def test_a_bin_that_nobody_knows_is_refused(floor, url, key):
    sent = {"key": key, "mass": "1", "where": "other", "other": "B-99"}
    answer = floor.post(f"{url}?kind=offcut", sent)
    assert answer.status_code == 422
    assert "No bin answers to this" in answer.content.decode()
    assert not Yield.objects.exists()


def test_a_bin_of_another_polymer_is_refused_in_words(floor, url, operator, key):
    other, _lot = make_full_bin(operator, polymer="PP")
    sent = {"key": key, "mass": "1", "where": "other", "other": other.name}
    answer = floor.post(f"{url}?kind=offcut", sent)
    assert answer.status_code == 422
    assert f"{other.name} takes PP" in answer.content.decode()


def test_a_bin_of_another_polymer_is_never_offered(floor, url, operator):
    other, _lot = make_full_bin(operator, polymer="PP")
    assert other.code not in floor.get(url, {"kind": "offcut"}).content.decode()


def test_throwing_away_needs_a_reason(floor, url, key):
    answer = floor.post(f"{url}?kind=dust", {"key": key, "mass": "1", "where": "dispose"})
    assert answer.status_code == 422
    assert "Say why in a few words" in answer.content.decode()
    assert not Yield.objects.exists()


def test_throws_away_with_a_reason(floor, url, key):
    sent = {"key": key, "mass": "1", "where": "dispose", "reason": "swept up"}
    floor.post(f"{url}?kind=dust", sent)
    assert Yield.objects.get().bin is None


def test_more_than_the_charge_holds_is_refused_as_typed(floor, url, key):
    sent = {"key": key, "pieces": "2", "mass": "9.5", "counted": "together"}
    answer = floor.post(f"{url}?kind=part", sent)
    assert answer.status_code == 422
    assert 'value="9.5"' in answer.content.decode()
    assert not Yield.objects.exists()


def test_the_same_sending_twice_weighs_out_once(floor, url, key):
    sent = {"key": key, "pieces": "2", "mass": "8", "counted": "together"}
    floor.post(f"{url}?kind=part", sent)
    floor.post(f"{url}?kind=part", sent)
    assert Yield.objects.count() == 1


def test_two_open_charges_are_told_apart(floor, url, run, operator, bin, key):
    weigh_out(run, operator, "part", 8 * KG, pieces=2)
    load(run, make_full_bin(operator)[1], operator, 5 * KG)
    sent = {"key": key, "charge": "1", "mass": "1", "where": bin.code}
    floor.post(f"{url}?kind=offcut", sent)
    assert Yield.objects.latest("pk").charge.number == 1


def test_one_open_charge_is_not_asked_about(floor, url):
    assert "charge" not in floor.get(url, {"kind": "part"}).context["form"].fields


@pytest.fixture
@kept
def cut(operator):
    """A cut run loaded with a sheet of 1000 x 500 mm and 9 kg."""
    design = DesignFactory(name="Board", length_um=1_000_000, width_um=500_000)
    sheet = make_part(operator, make_full_bin(operator)[1], 9 * KG, design)
    run = make_run(operator, "cut")
    load(run, sheet.lot, operator)
    return run


PIECE = {"pieces": "1", "mass": "4.5", "counted": "together", "length_mm": "500", "width_mm": "500"}


def test_a_piece_is_kept_with_its_size(floor, cut, key):
    url = reverse("workshop:run-yield", args=[cut.code])
    assert "kept pieces" in floor.get(url).content.decode().lower()
    answer = floor.post(f"{url}?kind=kept", PIECE | {"key": key}, follow=True)
    assert "1 piece, 4.5 kg, came out of" in answer.content.decode().replace("\xa0", " ")
    part = Part.objects.latest("pk")
    assert "500\xa0×\xa0500\xa0mm" in floor.get(part.get_absolute_url()).content.decode()
    assert "500\xa0×\xa0500\xa0mm" in floor.get(reverse("products:part-list")).content.decode()


@pytest.mark.parametrize(
    ("wrong", "at"),
    [
        ({"length_mm": ""}, "length_mm"),
        ({"width_mm": "0"}, "width_mm"),
        ({"length_mm": "1001"}, "length_mm"),
    ],
)
def test_a_piece_without_a_sound_size_is_asked_again(floor, cut, key, wrong, at):
    url = reverse("workshop:run-yield", args=[cut.code])
    answer = floor.post(f"{url}?kind=kept", PIECE | {"key": key} | wrong)
    assert answer.status_code == 422
    assert answer.context["form"].errors[at]
    assert 'value="4.5"' in answer.content.decode()


def test_which_sheet_is_asked_only_where_there_are_several(floor, cut, operator, key):
    url = f"{reverse('workshop:run-yield', args=[cut.code])}?kind=kept"
    assert "sheet" not in floor.get(url).context["form"].fields
    other = DesignFactory(name="Panel", length_um=500_000, width_um=500_000)
    load(cut, make_part(operator, make_full_bin(operator)[1], 4 * KG, other).lot, operator)
    assert "Panel" in floor.get(url).content.decode()
    floor.post(url, PIECE | {"key": key, "mass": "4", "sheet": other.pk})
    assert Part.objects.latest("pk").design == other
