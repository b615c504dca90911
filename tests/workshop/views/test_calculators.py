"""The pages of the desk: every calculator by one view, its errors at their boxes."""

import pytest
from django.urls import reverse

from inventory.models import Polymer
from workshop.calculations.catalogue import CALCULATORS

QUERIES = 5  # session, person, groups, polymers, own figures
each_calculator = pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda each: each.name)


def ask(client, name, **query):
    return client.get(reverse("workshop:calculator-detail", args=[name]), query)


def ask_all(client, calculator):
    return ask(client, calculator.name, **{n: str(v) for n, v in calculator.defaults.items()})


def test_the_desk_lists_every_calculator_by_step_of_the_work(floor):
    page = floor.get(reverse("workshop:calculator-list"))
    listed = [each for step in page.context["steps"] for each in step["calculators"]]
    assert set(listed) == set(CALCULATORS)


def test_planning_a_run_is_found_at_the_desk_and_in_the_menu(reader):
    page = reader.get(reverse("workshop:calculator-list")).content.decode()
    place = reverse("workshop:plan-new")
    assert f'class="choice" href="{place}"' in page
    assert f'class="menu-link" href="{place}"' in page


@each_calculator
def test_at_first_there_is_a_form_and_no_answer(floor, calculator):
    page = ask(floor, calculator.name)
    assert (page.status_code, page.context["worked"]) == (200, None)


@each_calculator
def test_the_values_shown_at_first_have_an_answer_with_units(floor, calculator):
    page = ask_all(floor, calculator)
    assert page.status_code == 200
    lines = page.context["worked"]["main"] + page.context["worked"]["others"]
    answer = page.context["form"].answer.values
    ends = {end for each in calculator.outputs for end in each.ends}
    shown = {each.name for each in calculator.outputs if answer[each.name] is not None} - ends
    assert {line.name for line in lines} == shown
    assert [line.said for line in lines if not line.said.endswith(line.unit)] == []


@each_calculator
def test_a_figure_out_of_range_is_refused_at_its_box_and_all_is_kept(floor, calculator):
    asked = next(each for each in calculator.inputs if each.most is not None)
    page = ask(floor, calculator.name, **{asked.name: f"{asked.most * 10 + 1}"})
    assert page.status_code == 422
    assert page.context["form"].has_error(asked.name)
    assert f'value="{asked.most * 10 + 1}"' in page.content.decode()


@each_calculator
def test_an_answer_names_its_sources(floor, calculator):
    text = ask_all(floor, calculator).content.decode()
    assert "Estimate for planning" in text
    assert calculator.sources


@each_calculator
def test_an_answer_asks_the_book_a_fixed_number_of_times(
    floor, calculator, django_assert_max_num_queries
):
    with django_assert_max_num_queries(QUERIES):
        ask_all(floor, calculator)


@each_calculator
def test_only_heated_work_refuses_reject_material(floor, calculator):
    choices = [each for each in calculator.inputs if each.kind == "polymer"]
    form = ask(floor, calculator.name).context["form"]
    offered = {symbol for each in choices for symbol, _ in form.fields[each.name].choices}
    if choices:
        assert ("PVC-U" in offered) is not calculator.is_heated


def test_an_unknown_calculator_is_not_found(floor):
    assert ask(floor, "astrology").status_code == 404


def test_a_comma_is_a_decimal_mark(floor):
    page = ask(floor, "sheet-charge", thickness_mm="2,5", density_g_cm3="1", allowance_percent="0")
    assert page.context["worked"]["main"][0].value == pytest.approx(2.5)


def test_an_empty_box_takes_the_polymers_figure_and_says_on_what_it_rests(floor):
    page = ask(floor, "sheet-charge", polymer="PE-HD")
    line = next(each for each in page.context["worked"]["given"] if each.name == "density_g_cm3")
    assert line.value == float(Polymer.objects.get(symbol="PE-HD").density_typical)
    assert line.source == "PE-HD, from memory: confirm it"


def test_without_a_polymer_the_figure_has_to_be_typed(floor):
    page = ask(floor, "sheet-charge", polymer="")
    assert page.status_code == 422
    assert page.context["form"].has_error("density_g_cm3", "no-figure")


@pytest.mark.parametrize("typed", ["nan", "inf", "1e999", "ten", "1.2.3", "9" * 5000])
def test_what_is_no_number_is_refused(floor, typed):
    page = ask(floor, "sheet-charge", length_mm=typed)
    assert page.status_code == 422
    assert page.context["form"].has_error("length_mm")


def test_a_figure_out_of_its_usual_range_is_said_and_not_refused(floor):
    page = ask(floor, "sheet-charge", allowance_percent="12")
    assert page.status_code == 200
    assert page.context["worked"]["notes"] == [
        "Flash and purge usually come to 2 to 5 % (our own judgement)."
    ]


def test_a_time_stands_in_its_band(floor):
    line = ask(floor, "cooling", size_mm="3").context["worked"]["main"][0]
    assert line.said.split("\N{NO-BREAK SPACE}") == ["14.4", "s"]
    assert (
        line.band.replace("\N{NO-BREAK SPACE}", " ") == "7.1 s to 16 s"
    )  # 7.188 and 15.97, outwards


def test_a_figure_is_parted_from_its_unit_and_a_colour_is_shown(floor):
    page = ask(floor, "colour", mass_1_kg="1", mass_2_kg="")
    difference, colour = page.context["worked"]["main"]
    assert difference.said.endswith("\N{NO-BREAK SPACE}ΔE₀₀")
    assert difference.number == difference.said.split("\N{NO-BREAK SPACE}")[0]
    assert (colour.number, colour.unit) == ("#2a68b0", "sRGB")
    assert 'fill="#2a68b0"' in page.content.decode()
