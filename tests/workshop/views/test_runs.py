"""Pages of runs."""

import re

import pytest
from django.urls import reverse

from inventory.models import Posting
from tests.factories.cutting import cut_run, make_boards
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    load,
    make_run,
    weigh_out,
)
from workshop.actions.runs import close_run
from workshop.models import Run

pytestmark = pytest.mark.django_db
OPEN = reverse("workshop:run-open")
FIELDS = {
    "granulate": {"machine", "tooling", "note"},
    "blend": {"machine", "note"},
    "press": {"machine", "design", "tooling", "planned_pieces", "settings_note", "note"},
    "inject": {"machine", "design", "tooling", "planned_pieces", "settings_note", "note"},
    "extrude": {"machine", "design", "tooling", "planned_pieces", "settings_note", "note"},
    "cut": {"machine", "design", "tooling", "planned_pieces", "sheets", "cutting_list", "note"},
    "form": {"machine", "design", "tooling", "planned_pieces", "settings_note", "note"},
}


def act_url(run, name):
    return reverse(f"workshop:run-{name}", args=[run.code])


@pytest.fixture
def run(operator):
    return make_run(operator)


@pytest.fixture
def made(run, operator):
    load(run, make_full_bin(operator)[1], operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=2)
    return run


@pytest.fixture
def closed(made, operator):
    return close_run(run=made, act=make_act(operator, "spilt"))


def test_opening_first_asks_for_the_operation(floor):
    page = floor.get(OPEN).content.decode()
    assert [op for op in FIELDS if f"?operation={op}" in page] == list(FIELDS)


@pytest.mark.parametrize("operation", FIELDS)
def test_each_operation_asks_for_what_it_needs_and_no_more(operation, floor):
    ToolingFactory(kind="mould")
    ToolingFactory(kind="screen")
    ToolingFactory(kind="blade")
    form = floor.get(OPEN, {"operation": operation}).context["form"]
    assert form.fields.keys() - {"key", "happened_at"} == FIELDS[operation]


def test_only_machines_and_designs_of_the_operation_are_offered(floor):
    press, _grinder = MachineFactory(kind="press"), MachineFactory(kind="granulator")
    sheet, _clip = DesignFactory(made_by="press"), DesignFactory(made_by="inject")
    form = floor.get(OPEN, {"operation": "press"}).context["form"]
    assert list(form.fields["machine"].queryset) == [press]
    assert list(form.fields["design"].queryset) == [sheet]


def test_opens_a_run_and_leads_to_loading_it(floor, key, operator):
    machine, design = MachineFactory(kind="press"), DesignFactory()
    sent = {"key": key, "machine": machine.pk, "design": design.pk, "planned_pieces": 3}
    answer = floor.post(f"{OPEN}?operation=press", sent, follow=True)
    run = Run.objects.get()
    assert (run.operator, run.planned_pieces, run.design) == (operator, 3, design)
    assert answer.redirect_chain[-1][0] == act_url(run, "load")
    assert f"{run.number} is open on {machine.name}" in answer.content.decode()


def meant_for(design, name):
    frame = ToolingFactory(name=name, kind="frame")
    frame.designs.add(design)
    return frame


def test_the_tooling_of_the_design_is_taken_where_nobody_chose_another(floor, key):
    machine, design = MachineFactory(kind="press"), DesignFactory()
    meant_for(DesignFactory(), "Other frame")
    frame = meant_for(design, "Its frame")
    meant_for(DesignFactory(made_by="inject"), "Clip mould")
    box = floor.get(OPEN, {"operation": "press"}).context["form"]["tooling"]
    assert "Clip mould" not in str(box)
    sent = {"key": key, "machine": machine.pk, "design": design.pk, "tooling": box.value()}
    floor.post(f"{OPEN}?operation=press", sent)
    assert Run.objects.get().tooling == frame


def test_of_two_frames_of_a_design_one_is_to_be_chosen(floor, key):
    machine, design = MachineFactory(kind="press"), DesignFactory(name="Board")
    names = [meant_for(design, name).name for name in ("Frame A", "Frame B")]
    sent = {"key": key, "machine": machine.pk, "design": design.pk, "tooling": "of-design"}
    answer = floor.post(f"{OPEN}?operation=press", sent)
    assert answer.status_code == 422
    said = f"Board has more than one; choose {names[0]}, {names[1]}."
    assert answer.context["form"].errors["tooling"] == [said]
    assert not Run.objects.exists()


def test_another_run_of_the_machine_is_told_before_one_is_opened(floor, run):
    text = floor.get(OPEN, {"operation": "press"}).content.decode()
    assert f"{run.machine.name}, another run is open on it: {run.number}" in text


def test_a_run_without_its_design_is_refused_as_typed(floor, key):
    machine, _design = MachineFactory(kind="press"), DesignFactory()
    sent = {"key": key, "machine": machine.pk, "settings_note": "190 C"}
    answer = floor.post(f"{OPEN}?operation=press", sent)
    assert answer.status_code == 422
    assert "190 C" in answer.content.decode()
    assert not Run.objects.exists()


def test_the_same_sending_twice_opens_one_run(floor, key):
    machine, design = MachineFactory(kind="press"), DesignFactory()
    sent = {"key": key, "machine": machine.pk, "design": design.pk}
    floor.post(f"{OPEN}?operation=press", sent)
    floor.post(f"{OPEN}?operation=press", sent)
    assert Run.objects.count() == 1


def test_the_list_filters_by_state(floor, closed, operator):
    other = make_run(operator)
    page = floor.get(reverse("workshop:run-list"), {"state": "open"}).content.decode()
    assert other.number in page
    assert closed.number not in page


def test_the_list_finds_a_run_by_number(floor, run, operator):
    other = make_run(operator)
    answer = floor.get(reverse("workshop:run-list"), {"q": run.number})
    assert list(answer.context["page"]) == [run]
    assert other not in answer.context["page"]


@pytest.mark.parametrize("query", ["machine=abc", "state=x", "opened_from=today"])
def test_the_list_bears_nonsense(query, floor, run):
    assert floor.get(f"{reverse('workshop:run-list')}?{query}").status_code == 200


def test_the_list_asks_the_same_however_many_runs(floor, operator, django_assert_max_num_queries):
    for _number in range(6):
        make_run(operator)
    with django_assert_max_num_queries(10):
        floor.get(reverse("workshop:run-list"))


def test_an_open_run_shows_the_next_act(floor, run):
    assert act_url(run, "load") in floor.get(run.get_absolute_url()).content.decode()


def test_an_auditor_sees_the_run_and_no_act(reader, made):
    page = reader.get(made.get_absolute_url()).content.decode()
    assert "Still in the machine" in page
    assert act_url(made, "close") not in page


def test_the_lead_may_undo_and_the_operator_not(desk, floor, made):
    undo = "/reverse/"
    assert undo in desk.get(made.get_absolute_url()).content.decode()
    seen = floor.get(made.get_absolute_url()).content.decode()
    assert undo not in seen
    assert "Tell the lead, who can undo it" in seen
    assert "Tell the lead" not in desk.get(made.get_absolute_url()).content.decode()


def test_a_sheet_that_is_to_be_loaded_leads_to_loading_it(floor, reader, operator):
    (board,) = make_boards(operator, 1)
    run = cut_run(operator, board)
    way = f'href="{act_url(run, "load")}?from={board.code}&amp;chosen=1"'
    assert way in floor.get(run.get_absolute_url()).content.decode()
    seen = reader.get(run.get_absolute_url()).content.decode()
    assert way not in seen
    assert f'href="{board.get_absolute_url()}"' in seen


def test_more_in_a_charge_than_goes_in_at_once_is_no_part_of_it(floor, operator):
    run = make_run(operator)
    run.machine.capacity_mg = KG
    run.machine.save()
    load(run, make_full_bin(operator)[1], operator, 2 * KG)
    seen = floor.get(act_url(run, "load")).content.decode()
    assert "2\u00a0kg; 1\u00a0kg go in at once" in seen


def test_the_strip_keeps_the_loading_order(floor, run, operator):
    _bin, blue = make_full_bin(operator)
    _bin, red = make_full_bin(operator, colour="red")
    load(run, blue, operator, KG)
    load(run, red, operator, KG)
    load(run, blue, operator, KG)
    (charge,) = floor.get(run.get_absolute_url()).context["charges"]
    colours = [segment["label"].split(", ")[1] for segment in charge["segments"]]
    assert colours == ["blue", "red", "blue"]


def test_a_run_page_asks_the_same_however_many_loads(
    floor, run, operator, django_assert_max_num_queries
):
    _bin, lot = make_full_bin(operator)
    for _number in range(4):
        load(run, lot, operator, KG)
        weigh_out(run, operator, "part", KG, pieces=2)
    with django_assert_max_num_queries(16):
        floor.get(run.get_absolute_url())


def test_closing_shows_gap_and_allowance_and_asks_where_it_went(floor, made):
    answer = floor.get(act_url(made, "close"))
    assert "reason" in answer.context["form"].fields
    assert "a loss to name" in answer.content.decode()


def test_the_gap_is_told_in_plain_words(floor, made):
    page = floor.get(act_url(made, "close")).content.decode()
    assert "1\u00a0kg is missing, and no scale was named that could explain any of it." in page
    assert "U = 2 u" not in page


def test_closing_without_a_word_is_refused_at_the_choices(floor, made, key):
    answer = floor.post(act_url(made, "close"), {"key": key})
    assert answer.status_code == 422
    assert answer.context["form"].has_error("loss", "gap")
    assert Run.objects.get().closed_at is None


@pytest.mark.parametrize(
    ("sent", "reason"),
    [
        ({"loss": "stuck"}, "stuck in the machine or the tooling"),
        ({"loss": "spilt", "reason": "on the floor"}, "spilt or swept away: on the floor"),
        ({"loss": "other", "reason": "a sample"}, "a sample"),
    ],
)
def test_the_loss_is_named_by_one_tap_or_in_words(floor, made, key, sent, reason):
    floor.post(act_url(made, "close"), {"key": key} | sent)
    assert Posting.objects.get(kind="close").reason == reason


def test_something_else_needs_a_word(floor, made, key):
    form = floor.post(act_url(made, "close"), {"key": key, "loss": "other"}).context["form"]
    assert form.has_error("reason", "gap")
    assert "in your own words" in form.errors["reason"][0]
    assert Run.objects.get().closed_at is None


def test_a_charge_that_gave_nothing_leads_to_weighing_out(floor, run, operator):
    load(run, make_full_bin(operator)[1], operator, KG)
    page = floor.get(act_url(run, "close")).content.decode()
    assert f'href="{act_url(run, "yield")}" data-kind="primary"' in page


def main_acts(page):
    bar = page[page.index('class="action-bar-inner"') : page.index("</main>")]
    return re.findall(r'<(?:a|button)[^>]*data-kind="primary"[^>]*>([^<]+)<', bar)


def test_each_stage_has_one_large_act(floor, run, operator):
    url = run.get_absolute_url()
    assert main_acts(floor.get(url).content.decode()) == ["Load"]
    load(run, make_full_bin(operator)[1], operator, 5 * KG)
    assert main_acts(floor.get(url).content.decode()) == ["Make"]
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    assert main_acts(floor.get(url).content.decode()) == ["Weigh out"]
    weigh_out(run, operator, "offcut", KG, bin=BinFactory())
    assert main_acts(floor.get(url).content.decode()) == ["Close"]


def test_every_stage_of_a_loaded_run_is_reached_by_the_steps(floor, made):
    page = floor.get(made.get_absolute_url()).content.decode()
    steps = page[page.index('class="steps"') : page.index("</ol>", page.index('class="steps"'))]
    assert [name for name in ("load", "make", "yield", "close") if act_url(made, name) in steps] == [
        "load", "make", "yield", "close",
    ]  # fmt: skip


def test_an_empty_run_leads_to_loading_only(floor, run):
    page = floor.get(run.get_absolute_url()).content.decode()
    assert act_url(run, "close") not in page


def test_the_set_up_is_its_own_stage(floor, made):
    page = floor.get(made.get_absolute_url(), {"stage": "setup"}).content.decode()
    assert made.machine.name in page
    assert "Still in charge" not in page


def test_a_closed_run_shows_its_sums_before_anything_else(floor, closed):
    page = floor.get(closed.get_absolute_url()).content.decode()
    assert page.index("In and out") < page.index("Parts made") < page.index("What was loaded")
    assert 'class="steps"' not in page


def test_closing_with_a_word_books_the_loss_and_says_so(floor, made, key):
    sent = {"key": key, "reason": "fell behind the press"}
    answer = floor.post(act_url(made, "close"), sent, follow=True)
    assert "booked: loss 1" in answer.content.decode()
    assert Run.objects.get().closed_at


def test_a_run_that_gave_all_closes_without_a_question(floor, made, operator, key):
    weigh_out(made, operator, "offcut", KG, bin=BinFactory())
    assert "reason" not in floor.get(act_url(made, "close")).context["form"].fields
    answer = floor.post(act_url(made, "close"), {"key": key}, follow=True)
    assert "nothing is missing" in answer.content.decode()


def test_a_charge_that_gave_nothing_does_not_close(floor, run, operator, key):
    load(run, make_full_bin(operator)[1], operator, KG)
    answer = floor.post(act_url(run, "close"), {"key": key, "reason": "x"})
    assert answer.status_code == 422
    assert "abandon the run" in answer.content.decode()


def test_a_closed_run_adds_up_and_shows_its_parts(floor, closed):
    context = floor.get(closed.get_absolute_url()).context
    assert context["account"].in_mg == context["account"].out_mg == 5 * KG
    assert len(context["parts"]["rows"]) == 2


def test_opening_warns_of_designs_whose_use_needs_an_approval(floor):
    MachineFactory()
    DesignFactory(name="Plain tray")
    DesignFactory(name="Fruit bowl", uses=["food"])
    answer = floor.get(OPEN, {"operation": "press"})
    assert [name for name, _said in answer.context["uses"]] == ["Fruit bowl"]
    assert "Food or drink: this needs approval the tool cannot give." in answer.content.decode()


def test_abandoning_needs_a_reason(floor, made, key):
    answer = floor.post(act_url(made, "abandon"), {"key": key, "reason": " "})
    assert answer.status_code == 422
    assert Run.objects.get().closed_at is None


def test_abandoning_books_everything_out(floor, made, key):
    floor.post(act_url(made, "abandon"), {"key": key, "reason": "screw jam"})
    assert Run.objects.get().state == "abandoned"


def test_only_the_lead_opens_a_run_again(floor, desk, closed, key):
    assert floor.post(act_url(closed, "reopen"), {"key": key, "reason": "x"}).status_code == 403
    desk.post(act_url(closed, "reopen"), {"key": key, "reason": "an offcut was forgotten"})
    assert Run.objects.get().state == "open"


@pytest.mark.parametrize("name", ["load", "carry", "yield", "close", "abandon", "reopen"])
def test_an_auditor_does_nothing_to_a_run(name, reader, run, key):
    assert reader.post(act_url(run, name), {"key": key}).status_code == 403


def test_an_auditor_opens_no_run(reader):
    assert reader.get(OPEN).status_code == 403


def test_an_injection_run_that_took_seconds_a_shot_says_so(floor, operator):
    design = DesignFactory(made_by="inject", form="part", tracked="bag", nominal_mass_mg=10_000)
    run = make_run(operator, "inject", design=design)
    load(run, make_full_bin(operator)[1], operator, KG)
    weigh_out(run, operator, "part", KG, pieces=100)
    close_run(run=run, act=make_act(operator))
    page = floor.get(run.get_absolute_url()).content.decode()
    assert "A shot usually takes a couple of minutes" in page
