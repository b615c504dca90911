"""Pages of plans: asking, starting, loading as planned, and what came of it."""

import re
from html import unescape
from urllib.parse import urlencode

import pytest
from django.urls import reverse

from tests.factories.costs import put_price, set_euro
from tests.factories.inventory import KG, make_full_bin, polymer
from tests.factories.plans import make_question, metered_run, start
from tests.factories.workshop import DesignFactory, MachineFactory, ToolingFactory, load, make_run
from workshop.calculations.plans import Comparison
from workshop.models import Plan, Run
from workshop.queries.expectations import short_mg
from workshop.views.plan_rows import row_shown, share_said

pytestmark = pytest.mark.django_db
NEW, START = "workshop:plan-new", "workshop:plan-start"


def text(answer):
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode().replace("\xa0", " ")).split())


def asked(question, **changes) -> dict:
    fields = {
        "design": question.design.pk,
        "pieces": question.pieces,
        "machine": question.machine.pk,
        "polymer": question.polymer.pk,
    }
    return fields | changes


def ask(client, question, **changes):
    return client.get(f"{reverse(NEW)}?{urlencode(asked(question, **changes))}")


def hidden(answer, name) -> str:
    return re.search(rf'name="{name}" value="([^"]+)"', answer.content.decode()).group(1)


@pytest.fixture
def stock(operator):
    return make_full_bin(operator)


@pytest.fixture
def question(stock):
    return make_question()


def test_without_a_design_those_that_can_be_planned_are_offered(floor, question):
    DesignFactory(name="Cut thing", made_by="cut")
    found = text(floor.get(reverse(NEW)))
    assert question.design.name in found
    assert "Cut thing" not in found


def test_a_workshop_without_such_designs_is_told_what_to_do(floor):
    assert "No design is pressed, injected or extruded yet" in text(floor.get(reverse(NEW)))


def test_the_address_of_a_plan_is_its_question_and_writes_nothing(reader, question, stock):
    answer = ask(reader, question)
    found = text(answer)
    assert answer.status_code == 200
    assert "Charge 3.158 kg" in found
    assert f"{stock[0].name} 3.158 kg" in found
    assert "flash, purging and rejects as is common practice" in found
    assert "Start this run" not in found
    assert not Run.objects.exists()


def test_a_wrong_number_is_told_at_its_box(floor, question):
    answer = ask(floor, question, pieces=0)
    assert answer.status_code == 422
    assert "Enter 1 or more." in text(answer)


@pytest.mark.parametrize("design", ["999999", "x", "9" * 30])
def test_a_design_that_is_none_answers_404(floor, design):
    assert floor.get(f"{reverse(NEW)}?design={design}").status_code == 404


def test_a_charge_that_nothing_gives_says_why_and_offers_no_start(floor, question):
    found = text(ask(floor, question, pieces=19))
    assert "No bins give this charge. 10.000 kg of PE-HD are short." in found
    assert "Start this run" not in found


def test_a_cycle_that_does_not_go_in_names_what_limits(floor, question):
    frame = ToolingFactory(name="Small frame", kind="frame", capacity_mg=KG)
    found = text(ask(floor, question, tooling=frame.pk))
    assert "It does not fit Small frame takes 1.000 kg at once" in found
    assert "Start this run" not in found


def test_a_run_is_started_from_the_page_and_its_load_page_names_the_bins_first(
    floor, question, stock
):
    shown = ask(floor, question)
    sent = asked(question, key=hidden(shown, "key"), token=hidden(shown, "token"))
    answer = floor.post(reverse(START), sent, follow=True)
    found = text(answer)
    plan = Plan.objects.get()
    assert answer.redirect_chain[-1][0] == reverse("workshop:run-load", args=[plan.run.code])
    assert "Load the planned bins now." in found
    assert f"As planned {stock[0].name} 3.158 kg" in found
    assert found.index("As planned") < found.index("Scan or type")
    assert "Bins and deliveries that fit" not in found  # named once, not among the rest again
    assert floor.post(reverse(START), sent).status_code == 302
    assert Run.objects.count() == 1


def test_a_plan_that_was_overtaken_is_shown_anew_and_answers_422(floor, question):
    sent = asked(question, key=hidden(ask(floor, question), "key"), token="0" * 64)
    answer = floor.post(reverse(START), sent)
    assert answer.status_code == 422
    assert "Stock has changed since this plan was shown" in text(answer)
    assert hidden(answer, "token") != "0" * 64
    assert not Run.objects.exists()


def test_an_auditor_starts_nothing(reader, question):
    assert reader.post(reverse(START), asked(question)).status_code == 403


def test_a_machine_that_worked_another_polymer_is_purged_before_the_planned_bins(
    floor, operator, stock
):
    make_full_bin(operator, polymer="PP")
    machine = MachineFactory(name="Press A", last_polymer=polymer("PP"))
    question = make_question(machine=machine)
    shown = ask(floor, question)
    sentence = "Press A last worked PP; purge it and write the purge down before PE-HD goes in."
    assert sentence in text(shown)
    assert "PE-HD bears only a few per cent of PP before it is weak." in text(shown)
    assert reverse("workshop:machine-purge", args=[question.machine.pk]) in shown.content.decode()
    run = start(operator, question).run
    found = text(floor.get(reverse("workshop:run-load", args=[run.code])))
    assert "Press A last worked PP; nothing fits before it is purged." in found
    assert "Bins and deliveries that fit" not in found


def test_a_purge_leads_back_to_the_plan_as_it_was_asked(floor, stock, key):
    machine = MachineFactory(name="Press A", last_polymer=polymer("PP"))
    question = make_question(machine=machine)
    plan = ask(floor, question)
    (way,) = re.findall(r'href="([^"]*/purge/\?[^"]*)"', plan.content.decode())
    answer = floor.post(unescape(way), {"key": key, "reason": "pushed through"}, follow=True)
    assert answer.status_code == 200
    assert answer.wsgi_request.path == reverse(NEW)
    assert answer.wsgi_request.GET.dict() == plan.wsgi_request.GET.dict()
    assert answer.context["planned"].question == plan.context["planned"].question
    assert answer.context["purge"] is None


def test_an_auditor_reads_why_and_is_led_to_the_caution(reader, operator, stock):
    machine = MachineFactory(name="Press A", last_polymer=polymer("PP"))
    shown = ask(reader, make_question(machine=machine))
    assert "purge it and write the purge down before PE-HD goes in." in text(shown)
    assert "/cautions/#changing" in shown.content.decode()
    assert reverse("workshop:machine-purge", args=[machine.pk]) not in shown.content.decode()


def test_after_reject_material_no_start_is_offered(floor, stock):
    machine = MachineFactory(name="Press A", last_polymer=polymer("PVC-U"))
    shown = text(ask(floor, make_question(machine=machine)))
    assert "no purge makes that safe; retire the machine." in shown
    assert "Start this run" not in shown


def test_the_page_that_loads_says_how_much_was_planned_from_a_bin(floor, operator, stock):
    run = start(operator).run
    url = f"{reverse('workshop:run-load', args=[run.code])}?from={stock[0].code}"
    assert "Planned from here: 3.158 kg" in text(floor.get(url))


def test_the_plan_is_shown_against_what_was_done(floor, operator, stock):
    run = start(operator).run
    load(run, stock[1], operator, 4 * KG)
    found = text(floor.get(reverse("workshop:run-plan", args=[run.code])))
    assert "Charge 3.158 kg 4.000 kg +0.842 kg +26.7 %" in found
    assert "Plan against what was done" in text(floor.get(run.get_absolute_url()))


def test_a_run_without_a_plan_says_so(floor, operator):
    run = make_run(operator)
    found = text(floor.get(reverse("workshop:run-plan", args=[run.code])))
    assert "This run was opened without a plan" in found
    assert "Plan against what was done" not in text(floor.get(run.get_absolute_url()))


def test_the_page_asks_as_often_whatever_was_loaded(
    floor, operator, stock, django_assert_max_num_queries
):
    run = start(operator).run
    for _number in range(3):
        load(run, stock[1], operator, KG)
    with django_assert_max_num_queries(24):
        floor.get(reverse("workshop:run-plan", args=[run.code]))


FRAME = {"frame_length_um": 600_000, "frame_width_um": 600_000, "frame_depth_um": 10_000}


def test_what_limits_is_named_and_an_estimate_only_warns(floor, stock):
    design = DesignFactory(nominal_mass_mg=3_438_000)
    frame = ToolingFactory(name="Frame 10", kind="frame", changeover_minutes=20, **FRAME)
    press = MachineFactory(name="Press A", force_kn=300, platen_length_mm=700, platen_width_mm=700)
    question = make_question(design=design, machine=press, pieces=1)
    found = text(ask(floor, question, tooling=frame.pk))
    assert "It may not fit" in found
    assert "What limits: the force of Press A, used to 120 %." in found
    assert "20 min to change over" in found
    assert "Tooling to put on: Frame 10. 20 min, as the register says." in found
    assert "Nothing is to be changed over on Press A." in text(ask(floor, question))
    assert "Start this run" in found


def test_tooling_to_be_mended_is_said_and_cannot_be_started(floor, question, key):
    frame = ToolingFactory(name="Frame 10", kind="frame", condition="mend")
    answer = ask(floor, question, tooling=frame.pk)
    found = text(answer)
    assert "Frame 10 is to be mended before use." in found
    assert "Start this run" not in found
    sent = asked(question, tooling=frame.pk, key=key, token="0" * 64)
    answer = floor.post(reverse(START), sent)
    assert answer.status_code == 422
    assert "Frame 10 is to be mended before use; choose other tooling." in text(answer)
    assert not Run.objects.exists()


def test_tooling_of_the_design_stands_before_others_and_says_for_what_it_is(floor, question):
    for name, design in (("Alder frame", DesignFactory(name="Stool")), ("Oak frame", None)):
        ToolingFactory(name=name, kind="frame").designs.set([design or question.design])
    found = text(floor.get(f"{reverse(NEW)}?design={question.design.pk}"))
    assert found.index("Oak frame") < found.index("Alder frame, for Stool")


def test_a_difference_too_small_to_be_written_has_no_sign():
    shown = row_shown(Comparison("load", "charge", "mg", 6_614_200, 6_614_000))
    assert (shown["difference"].replace("\xa0", " "), shown["share"]) == ("0 kg", "")
    assert share_said(-0.0001).replace("\xa0", " ") == "< 0.1 %"
    assert share_said(-0.012).replace("\xa0", " ") == "\N{MINUS SIGN}1.2 %"


def test_nearly_all_is_written_as_a_figure_and_not_as_an_arrow():
    assert share_said(-0.9997).replace("\xa0", " ") == "\N{MINUS SIGN}100.0 %"
    assert share_said(2.5).replace("\xa0", " ") == "+250.0 %"


@pytest.mark.parametrize(("condition", "is_chosen"), [("good", True), ("mend", False)])
def test_the_only_tooling_of_a_design_is_chosen_already_when_it_is_fit(
    floor, question, condition, is_chosen
):
    frame = ToolingFactory(kind="frame", condition=condition)
    frame.designs.add(question.design)
    ToolingFactory(kind="frame")
    shown = floor.get(f"{reverse(NEW)}?design={question.design.pk}").content.decode()
    box = re.search(rf'<input[^>]*name="tooling"[^>]*value="{frame.pk}"[^>]*>', shown).group()
    assert ("checked" in box) is is_chosen


def test_energy_and_cost_stand_beside_the_plan(floor, lead, question, stock):
    set_euro(lead)
    put_price(lead, stock[1], "0.5")
    found = text(ask(floor, question))
    assert "Cost of material 1.50 EUR" in found
    assert "Energy – not known: read a meter, or set the rated power of the machine" in found
    assert "Sum at least 1.50 EUR" in found


def test_labour_waits_for_a_time_and_blames_no_rate(floor, lead, question, stock):
    found = text(ask(floor, question))
    assert "Cost of labour not known until three runs have counted their cycles" in found
    assert "no rate per hour" not in found


def test_energy_and_cost_are_held_against_the_plan(floor, lead, stock):
    set_euro(lead)
    put_price(lead, stock[1], "0.5")
    plan = start(lead)
    load(plan.run, stock[1], lead, KG)
    found = text(floor.get(reverse("workshop:run-plan", args=[plan.run.code])))
    assert "Cost of material 1.50 EUR" in found


def test_the_heading_follows_the_worst_that_is_said(floor, stock):
    """By hand: 50 g at 90 % parts are 55.6 g; a barrel of 80 g PS holds 63.2 g of PE-HD melt (0.764 to 0.968)."""
    design = DesignFactory(nominal_mass_mg=50_000, made_by="inject", form="part")
    barrel = MachineFactory(kind="injection", capacity_mg=80_000)
    found = text(ask(floor, make_question(design=design, machine=barrel)))
    assert "One shot takes 88 % of what" in found  # and up to 75 is usual
    assert "It fits, with a doubt" in found
    roomy = MachineFactory(kind="injection", capacity_mg=100_000)
    assert "It fits, with" not in text(ask(floor, make_question(design=design, machine=roomy)))


def test_without_bins_no_price_is_missed_yet(floor, lead, question, stock):
    set_euro(lead)
    found = text(ask(floor, question, pieces=900))
    assert "No bins give this charge." in found
    assert "not known until bins are found to draw it from" in found
    assert "no delivery in it has a price" not in found
    assert "has no price" not in found


def test_energy_is_told_in_all_and_for_each_kilogram(floor, lead, operator, stock):
    """By hand: three runs that took 3 kWh for 1 kg each: 3 kWh/kg."""
    question = make_question()
    for _number in range(3):
        metered_run(operator, question.design, stock[1], "3", machine=question.machine)
    found = text(ask(floor, question))
    assert "by the median of metered runs of this design" in found
    assert "Energy for each good kilogram 3.00 kWh/kg" in found


def test_another_open_run_on_the_machine_is_named(floor, operator, question, stock):
    assert "another run open" not in text(ask(floor, question))
    other = make_run(operator, machine=question.machine)
    answer = ask(floor, question)
    assert f"has another run open; close or abandon what is done: {other.number}" in text(answer)
    assert other.get_absolute_url() in answer.content.decode()


def test_what_a_plan_is_held_against_and_whose_limits_these_are_is_explained(
    floor, operator, question
):
    run = start(operator, question).run
    found = text(floor.get(reverse("workshop:run-plan", args=[run.code])))
    assert "a planned bin is done when at most 0.1 % of it is missing" in found
    assert "up to 1 g but never more than 1 %" in found
    assert "No limit says which difference is too much" in found
    assert "own judgement, from no standard" in found
    fits = text(ask(floor, question))
    assert "exceeded by more than 2 %" in fits
    assert "more than 25 % larger than the mould's shot" in fits
    assert "1 MPa on sheets, 40 MPa in moulds" in fits


@pytest.mark.parametrize(
    ("wanted", "most_missing"), [(50_000, 500), (500_000, 1_000), (5_000_000, 5_000)]
)
def test_the_explanation_says_what_the_pages_that_load_do(wanted, most_missing):
    """By hand from the sentence: 1 % of 50 g; 1 g of 500 g; 0.1 % of 5 kg."""
    assert short_mg(wanted, wanted - most_missing) == 0
    assert short_mg(wanted, wanted - most_missing - 1) == most_missing + 1
