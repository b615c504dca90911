"""Pages that load a run."""

import pytest
from django.urls import reverse

from inventory.actions.lots import hold_lot
from inventory.queries.lots import open_lot_in
from products.models import Part
from tests.factories.cutting import cut_run, make_boards
from tests.factories.inventory import KG, BinFactory, ScaleFactory, make_act, make_full_bin
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    load,
    make_part,
    make_run,
    weigh_out,
)
from tests.kept import kept
from workshop.models import Load

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_run(operator)


@pytest.fixture
def lot(operator):
    return make_full_bin(operator, bin_fields={"name": "B-07"})[1]


@pytest.fixture
def url(run):
    return reverse("workshop:run-load", args=[run.code])


def test_first_shows_what_fits(floor, url, lot):
    assert f"?from={lot.code}" in floor.get(url).content.decode()


def test_a_typed_name_leads_to_the_bin(floor, url, lot):
    assert floor.get(url, {"from": "b07"}).context["lot"] == lot


def test_what_leads_nowhere_stays_in_its_box(floor, url, lot):
    answer = floor.get(url, {"from": "B-99"})
    assert answer.status_code == 422
    assert 'value="B-99"' in answer.content.decode()


def test_a_bin_that_was_tapped_and_refused_stands_in_the_box_by_its_name(floor, url, lot, lead):
    hold_lot(lot=lot, act=make_act(lead, "smells"))
    answer = floor.get(url, {"from": lot.code, "chosen": "1"})
    assert answer.status_code == 422
    assert 'value="B-07"' in answer.content.decode()
    assert f'value="{lot.code}"' not in answer.content.decode()


def test_loads_a_mass_and_says_from_where(floor, url, lot, key):
    answer = floor.post(f"{url}?from={lot.code}", {"key": key, "mass": "2,5"}, follow=True)
    assert Load.objects.get().mass_mg == 2_500_000
    assert "2.5\u00a0kg from B-07 is in charge 1" in answer.content.decode()


def test_loads_all_of_it_in_one_tap(floor, url, lot, key):
    floor.post(f"{url}?from={lot.code}", {"key": key, "whole": "1"})
    assert Load.objects.get().mass_mg == 10 * KG


def test_takes_the_tare_off_the_gross_mass(floor, url, lot, key):
    scale = ScaleFactory(resolution_mg=10_000)
    sent = {"key": key, "mass": "3.2", "tare": "0.2", "scale": scale.pk}
    floor.post(f"{url}?from={lot.code}", sent)
    transfer = Load.objects.get().posting.transfers.get()
    assert (transfer.mass_mg, transfer.scale) == (3 * KG, scale)


def test_the_scale_is_remembered(floor, url, lot, key):
    scale = ScaleFactory()
    sent = {"key": key, "mass": "1", "scale": scale.pk}
    floor.post(f"{url}?from={lot.code}", sent)
    form = floor.get(url, {"from": lot.code}).context["form"]
    assert form["scale"].value() == scale.pk


@pytest.mark.parametrize(
    "sent", [{}, {"mass": "0"}, {"mass": "x"}, {"mass": "2", "whole": "1"}, {"mass": "99"}]
)
def test_a_mass_that_cannot_be_is_refused(sent, floor, url, lot, key):
    answer = floor.post(f"{url}?from={lot.code}", {"key": key} | sent)
    assert answer.status_code == 422
    assert not Load.objects.exists()


def test_a_refused_mass_is_kept_as_typed(floor, url, lot, key):
    page = floor.post(f"{url}?from={lot.code}", {"key": key, "mass": "99"}).content.decode()
    assert 'value="99"' in page
    assert "holds only 10.000 kg" in page


def test_the_same_sending_twice_loads_once(floor, url, lot, key):
    floor.post(f"{url}?from={lot.code}", {"key": key, "mass": "1"})
    floor.post(f"{url}?from={lot.code}", {"key": key, "mass": "1"})
    assert Load.objects.get().mass_mg == KG


def test_another_polymer_is_refused_in_words(floor, url, run, lot, operator, key):
    load(run, lot, operator, KG)
    _bin, other = make_full_bin(operator, polymer="PP")
    answer = floor.post(f"{url}?from={other.code}", {"key": key, "mass": "1"})
    assert answer.status_code == 422
    assert Load.objects.count() == 1


def test_a_bag_asks_for_pieces(floor, operator, lot, key):
    design = DesignFactory(tracked="bag", nominal_mass_mg=100_000)
    press = make_run(operator, design=design)
    load(press, lot, operator, KG)
    weigh_out(press, operator, "part", KG, pieces=10)
    grind = reverse("workshop:run-load", args=[make_run(operator, "granulate").code])
    part = Part.objects.get()
    floor.post(f"{grind}?from={part.code}", {"key": key, "pieces": "4"})
    assert Load.objects.filter(part=part, pieces=4, mass_mg=400_000).exists()


def test_a_sealed_charge_with_mass_left_offers_to_carry_it_over(floor, url, run, lot, operator):
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    page = floor.get(url).content.decode()
    assert reverse("workshop:run-carry", args=[run.code]) in page


def test_carries_over_and_says_how_much(floor, run, lot, operator, key):
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    url = reverse("workshop:run-carry", args=[run.code])
    answer = floor.post(url, {"key": key}, follow=True)
    assert "1\u00a0kg is carried into charge 2" in answer.content.decode()


def test_carrying_nothing_over_is_refused(floor, run, key):
    url = reverse("workshop:run-carry", args=[run.code])
    assert floor.post(url, {"key": key}).status_code == 422
    assert not Load.objects.exists()


def test_the_caution_of_the_machine_stands_beside_the_act(floor, url, lot):
    page = floor.get(url, {"from": lot.code}).content.decode()
    assert "Hot plates" in page
    assert "licensed practice come first" in page


def test_a_worn_part_is_weighed_and_the_rest_is_lost(floor, operator, lot, key):
    press = make_run(operator)
    load(press, lot, operator, 4 * KG)
    weigh_out(press, operator, "part", 4 * KG, pieces=1)
    grind = reverse("workshop:run-load", args=[make_run(operator, "granulate").code])
    part = Part.objects.get()
    floor.post(f"{grind}?from={part.code}", {"key": key, "mass": "3.9"})
    roles = set(part.lot.given.values_list("role", "mass_mg"))
    assert roles == {("loaded", 3_900_000), ("loss", 100_000)}


AFTER = {"way": "afterwards", "unit": "kg"}


@pytest.fixture
def weighed_lot(operator):
    """10 kg in a bin whose tare is 1 kg."""
    return make_full_bin(operator, bin_fields={"name": "B-08", "tare_mg": KG})[1]


def test_the_tare_of_the_bin_is_filled_in(floor, url, weighed_lot):
    form = floor.get(url, {"from": weighed_lot.code}).context["form"]
    assert form["tare"].value() == "1 kg"


def test_the_bin_weighed_afterwards_says_what_was_taken(floor, url, weighed_lot, key):
    sent = {"key": key, "mass": "7.4", "tare": "1 kg"} | AFTER
    floor.post(f"{url}?from={weighed_lot.code}", sent)
    assert Load.objects.get().mass_mg == 3_600_000


def test_a_bin_that_shows_more_than_the_book_is_refused_at_the_mass(floor, url, weighed_lot, key):
    sent = {"key": key, "mass": "11.2", "tare": "1"} | AFTER
    form = floor.post(f"{url}?from={weighed_lot.code}", sent).context["form"]
    assert form.has_error("mass", "over-book")
    assert "count it first" in form.errors["mass"][0]
    assert not Load.objects.exists()


def test_a_bin_that_shows_its_tare_only_was_emptied(floor, url, weighed_lot, key):
    sent = {"key": key, "mass": "1", "tare": "1"} | AFTER
    floor.post(f"{url}?from={weighed_lot.code}", sent)
    assert Load.objects.get().mass_mg == 10 * KG


def test_a_net_mass_leaves_the_tare_of_the_bin_alone(floor, url, weighed_lot, key):
    sent = {"key": key, "mass": "3", "tare": "1 kg", "way": "net"}
    floor.post(f"{url}?from={weighed_lot.code}", sent)
    assert Load.objects.get().mass_mg == 3 * KG


def test_gross_without_a_tare_is_refused_at_the_tare(floor, url, lot, key):
    sent = {"key": key, "mass": "3", "way": "gross", "tare": ""}
    form = floor.post(f"{url}?from={lot.code}", sent).context["form"]
    assert form.has_error("tare", "no-tare")
    assert not Load.objects.exists()


def test_grams_are_grams_and_a_unit_in_the_text_wins(floor, url, lot, key):
    sent = {"key": key, "mass": "3600", "tare": "0.6 kg", "way": "gross", "unit": "g"}
    floor.post(f"{url}?from={lot.code}", sent)
    assert Load.objects.get().mass_mg == 3 * KG


def test_unit_and_way_are_remembered_for_the_next_load_and_the_way_for_loads_only(
    floor, url, run, lot, key
):
    sent = {"key": key, "mass": "6400", "unit": "g", "way": "afterwards", "tare": ""}
    floor.post(f"{url}?from={lot.code}", sent)
    form = floor.get(url, {"from": lot.code}).context["form"]
    assert (form["unit"].value(), form["way"].value()) == ("g", "afterwards")
    out = reverse("workshop:run-yield", args=[run.code])
    form = floor.get(out, {"kind": "part"}).context["form"]
    assert (form["unit"].value(), form["way"].value()) == ("g", "net")


def test_after_a_load_the_page_is_ready_for_the_next_scan(floor, url, lot, key):
    sent = {"key": key, "mass": "1.5"}
    answer = floor.post(f"{url}?from={lot.code}", sent, follow=True)
    page = answer.content.decode()
    assert answer.redirect_chain == [(url, 302)]
    assert 'name="from" type="search" value=""' in page
    assert page.count(" autofocus") == 1
    assert "Still wanted" in page
    assert "2.5\u00a0kg" in page


def test_what_is_on_hold_is_refused_when_it_is_scanned(floor, url, lot, operator):
    hold_lot(lot=lot, act=make_act(operator, "smells"))
    answer = floor.get(url, {"from": "B-07"})
    assert answer.status_code == 422
    assert "is on hold; the lead must lift the hold first" in answer.content.decode()
    assert "form" not in answer.context


def test_another_polymer_is_refused_when_it_is_scanned(floor, url, run, lot, operator):
    load(run, lot, operator, KG)
    _bin, other = make_full_bin(operator, polymer="PP", bin_fields={"name": "B-09"})
    answer = floor.get(url, {"from": "B-09"})
    assert answer.status_code == 422
    assert "Charge 1 takes PE-HD, this is PP" in answer.content.decode()
    assert other.code not in answer.content.decode()


def test_an_empty_bin_is_called_empty_when_it_is_scanned(floor, url):
    BinFactory(name="B-11")
    answer = floor.get(url, {"from": "B-11"})
    assert answer.status_code == 422
    assert "Bin B-11 is empty" in answer.content.decode()


def test_a_surprising_load_is_asked_back_with_the_figure_kept(floor, url, lot, key):
    answer = floor.post(f"{url}?from={lot.code}", {"key": key, "mass": "4.2", "unit": "g"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert answer.context["form"].has_error("mass", "surprising")
    assert 'value="4.2"' in page
    assert "Yes, 4.2\u00a0g is right" in page
    assert not Load.objects.exists()


def test_one_tap_confirms_a_surprising_load(floor, url, lot, key):
    sent = {"key": key, "mass": "4.2", "unit": "g"}
    form = floor.post(f"{url}?from={lot.code}", sent).context["form"]
    floor.post(f"{url}?from={lot.code}", sent | {"confirmed": form.asked_token})
    assert Load.objects.get().mass_mg == 4_200


def test_all_of_a_bin_that_is_too_much_is_asked_back_and_confirmed(floor, operator, lot, key):
    machine = MachineFactory(kind="press", capacity_mg=5 * KG)
    url = reverse("workshop:run-load", args=[make_run(operator, machine=machine).code])
    form = floor.post(f"{url}?from={lot.code}", {"key": key, "whole": "1"}).context["form"]
    assert form.asked_text == "10\u00a0kg"
    sent = {"key": key, "mass": "", "confirmed": form.asked_token}
    floor.post(f"{url}?from={lot.code}", sent)
    assert Load.objects.get().mass_mg == 10 * KG


def test_the_page_of_a_load_asks_the_same_however_many_loads(
    floor, url, run, lot, operator, django_assert_max_num_queries
):
    for _number in range(5):
        load(run, lot, operator, KG)
    with django_assert_max_num_queries(39):
        floor.get(url, {"from": lot.code})


@pytest.fixture
@kept
def melted(operator):
    """A bin of flake that was melted once here."""
    part = make_part(operator, make_full_bin(operator)[1], 4 * KG)
    bin, ground = BinFactory(name="B-21"), make_run(operator, "granulate")
    load(ground, part.lot, operator)
    weigh_out(ground, operator, "material", 4 * KG, bin=bin)
    return open_lot_in(bin)


def page_of_load(floor, operator, lot, **limit):
    design = DesignFactory(name="Stool", **limit)
    run = make_run(operator, design=design)
    url = reverse("workshop:run-load", args=[run.code])
    return url, floor.get(url, {"from": lot.code}).content.decode()


def test_the_page_tells_how_often_a_lot_was_melted(floor, operator, melted):
    shown = page_of_load(floor, operator, melted)[1]
    assert "Melted once in this workshop." in shown
    assert "limit of Stool" not in shown


def test_a_lot_above_the_limit_is_said_to_be(floor, operator, melted):
    shown = page_of_load(floor, operator, melted, passes_from=1, passes_most_percent=99)[1]
    assert "Above the limit of Stool: 100.0\u00a0% was melted before, and 99&nbsp;% may be" in shown


def test_a_lot_within_the_limit_is_said_to_be(floor, operator, melted):
    shown = page_of_load(floor, operator, melted, passes_from=2, passes_most_percent=10)[1]
    assert "Within the limit of Stool: 0.0\u00a0% was melted 2 times or more" in shown


def test_a_load_above_the_limit_is_asked_back_and_confirmed(floor, operator, melted, key):
    limit = {"passes_from": 1, "passes_most_percent": 40}
    url = page_of_load(floor, operator, melted, **limit)[0]
    sent, before = {"key": key, "mass": "4"}, Load.objects.count()
    answer = floor.post(f"{url}?from={melted.code}", sent)
    assert answer.status_code == 422
    assert "100\u00a0% of the charge would be material" in answer.content.decode()
    assert Load.objects.count() == before
    form = answer.context["form"]
    floor.post(f"{url}?from={melted.code}", sent | {"confirmed": form.asked_token})
    assert Load.objects.count() == before + 1
    assert "Above the limit of Stool" in floor.get(url).content.decode()


def test_a_sheet_of_another_run_is_asked_about_and_loaded_by_one_tap(floor, operator, key):
    (board,) = make_boards(operator, 1)
    first, other = cut_run(operator, board), make_run(operator, "cut")
    url = f"{reverse('workshop:run-load', args=[other.code])}?from={board.code}"
    asked = floor.post(url, {"key": key})
    assert asked.status_code == 422
    text = asked.content.decode()
    assert f"{first.number} is open to cut this sheet" in text
    assert "Yes, load it here" in text
    sent = {"key": key, "confirmed": asked.context["form"].asked_token}
    assert f"and missing in {first.number}" in floor.post(url, sent, follow=True).content.decode()
    assert Load.objects.get(part=board).charge.run == other
    page = floor.get(reverse("workshop:run-load", args=[first.code])).content.decode()
    assert f"taken by {other.number}" in page
    assert f"?from={board.code}" not in page


def test_what_an_operation_is_seldom_loaded_with_is_folded_away(floor, operator):
    flake, dust = (
        make_full_bin(operator, form=form, bin_fields={"name": form})[1]
        for form in ("flake", "dust")
    )
    url = reverse("workshop:run-load", args=[make_run(operator, "inject").code])
    context = floor.get(url).context
    assert (context["lots"], context["other_lots"]) == ([flake], [dust])
    (board,) = make_boards(operator, 1)
    hook = make_part(operator, flake, KG, DesignFactory(form="part"))
    cutter = reverse("workshop:run-load", args=[make_run(operator, "cut").code])
    context = floor.get(cutter).context
    assert (context["parts"], context["other_parts"]) == ([board], [hook])


def test_a_planned_load_that_was_met_to_the_gram_is_all_in(floor, operator, lot):
    run = make_run(operator, planned_pieces=2)
    wanted = 2 * run.design.nominal_mass_mg
    load(run, lot, operator, wanted - 255)
    page = floor.get(reverse("workshop:run-load", args=[run.code])).content.decode()
    assert "All in<" in page
    assert "Still wanted" not in page


@pytest.mark.parametrize(("typed", "is_asked"), [("50", True), ("50 kg", False), ("20000", False)])
def test_kilograms_that_the_bin_has_not_are_asked_about_where_grams_would_fit(
    floor, url, lot, key, typed, is_asked
):
    form = floor.post(f"{url}?from={lot.code}", {"key": key, "mass": typed}).context["form"]
    assert form.has_error("mass", "short")
    assert ("50 kg? In g it would fit: choose g." in form.errors["mass"]) is is_asked
    assert not Load.objects.exists()
