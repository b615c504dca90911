"""Pages of process sheets: read by everybody, chosen by the lead, linked from where it is needed."""

import csv
import json
import re
from decimal import Decimal
from io import StringIO
from urllib.parse import urlencode

import pytest
from django.urls import reverse

from inventory.actions.own_figures import set_own_figure
from products.models import Design
from tests.factories.inventory import make_act, make_full_bin, polymer
from tests.factories.plans import make_question
from tests.factories.process_sheets import choose, closed_run, make_sheet_key
from tests.factories.workshop import make_run
from workshop.models import ChosenSetting

pytestmark = pytest.mark.django_db


@pytest.fixture
def key(db):
    return make_sheet_key()


def text(answer):
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode().replace("\xa0", " ")).split())


def address(key, page="process-sheet", **more):
    query = {"polymer": key.polymer.pk, "machine": key.machine.pk} | more
    return f"{reverse(f'workshop:{page}', args=[key.design.pk])}?{urlencode(query)}"


def test_it_shows_what_worked_with_its_runs(reader, operator, key):
    for melt, note in ((228, "barrel 224"), (230, ""), (231, ""), (240, "")):
        run = closed_run(operator, key, melts=[melt], note=note)
    found = text(reader.get(address(key)))
    assert "4 of 4 closed runs worked." in found
    assert "Melt temperature 230.5 °C half lie between 229.5 °C and 233.2 °C; 4 runs" in found
    assert "window 204 to 260 °C (published)" in found
    assert "Charge for one piece 100 g" in found
    assert "barrel 224" in found
    assert run.number in found
    assert "Choose a value" not in found


def test_what_rests_on_fewer_than_three_runs_says_so(floor, operator, key):
    closed_run(operator, key)
    found = text(floor.get(address(key)))
    assert "Fewer than three: nothing to go by yet." in found
    assert "Melt temperature 230 °C only 1 run, too few to go by" in found


def test_the_lead_chooses_a_value_and_it_stands_first(desk, operator, key_id, key):
    closed_run(operator, key)
    page = address(key, "setting-choose", name="melt")
    assert "Melt temperature" in text(desk.get(page))
    sent = {"key": key_id, "value": "226,5", "reason": "no sink marks"}
    answer = desk.post(page, sent, follow=True)
    found = text(answer)
    assert "Melt temperature stands first now." in found
    assert found.index("Chosen by the lead") < found.index("Settings of runs that worked")
    assert "Melt temperature 226.5 °C chosen by lead" in found
    assert "runs that worked: 230 °C, only 1 run, too few to go by" in found
    assert desk.post(page, sent).status_code == 302
    assert ChosenSetting.objects.count() == 1


@pytest.fixture
def key_id():
    return "6f0c2d9e-2a35-4f0f-9a5e-0d7a1b8f3c11"


def test_a_refused_value_keeps_what_was_typed(desk, key_id, key):
    page = address(key, "setting-choose", name="melt")
    answer = desk.post(page, {"key": key_id, "value": "290", "reason": "faster"})
    assert answer.status_code == 422
    assert "Above 280 °C PP gives off fumes; choose a lower value." in text(answer)
    assert 'value="290"' in answer.content.decode()


def test_words_of_ones_own_are_chosen_and_dropped(desk, lead, key_id, key):
    page = address(key, "setting-choose")
    sent = {"key": key_id, "name": "dwell", "value": "3", "unit": "s", "reason": "no drool"}
    assert "dwell 3 s chosen by lead" in text(desk.post(page, sent, follow=True))
    page = address(key, "setting-drop", name="dwell")
    assert "Chosen now: 3 s." in text(desk.get(page))
    assert desk.post(page, {"key": key_id[:-1] + "2", "reason": ""}).status_code == 422
    answer = desk.post(page, {"key": key_id[:-1] + "2", "reason": "new nozzle"}, follow=True)
    found = text(answer)
    assert "dwell is dropped; what was learned stands first again." in found
    assert "Chosen by the lead" not in found
    assert "dwell: dropped" in found


def test_an_operator_chooses_nothing(floor, key):
    assert floor.get(address(key, "setting-choose")).status_code == 403
    assert floor.post(address(key, "setting-drop", name="melt")).status_code == 403


@pytest.mark.parametrize("query", ["polymer=999999", "machine=x", "machine=99999999999999999999"])
def test_what_is_not_there_answers_404(floor, key, query):
    url = reverse("workshop:process-sheet", args=[key.design.pk])
    assert floor.get(f"{url}?{query}").status_code == 404


def test_a_design_with_no_machine_says_what_is_missing(floor, db):
    design = make_sheet_key().design
    design.made_by = "extrude"
    design.save()
    answer = floor.get(reverse("workshop:process-sheet", args=[design.pk]))
    assert "No machine or polymer to speak of yet" in text(answer)


def test_the_spreadsheet_has_each_setting_and_no_formula(reader, operator, lead, key):
    closed_run(operator, key)
    choose(lead, key, name="=SUM(A1)", value=3, unit="s")
    answer = reader.get(address(key, "process-csv"))
    rows = list(csv.DictReader(StringIO(answer.content.decode())))
    melt = rows[0]
    assert (melt["setting"], melt["median"], melt["runs"]) == ("Melt temperature", "230", "1")
    assert [row["setting"] for row in rows if row["chosen"]] == ["'=SUM(A1)"]
    assert {"share of part", "charge for one piece"} <= {row["setting"] for row in rows}


def test_design_run_and_plan_lead_to_it(floor, operator, key):
    sheet = reverse("workshop:process-sheet", args=[key.design.pk])
    assert sheet in floor.get(key.design.get_absolute_url()).content.decode()
    run = make_run(operator, "inject", design=key.design, machine=key.machine)
    shown = floor.get(f"{run.get_absolute_url()}?stage=setup").content.decode()
    assert f"{sheet}?machine={key.machine.pk}" in shown
    make_full_bin(operator)
    question = make_question()
    asked = {"design": question.design.pk, "pieces": 3, "machine": question.machine.pk}
    asked |= {"polymer": question.polymer.pk}
    shown = floor.get(f"{reverse('workshop:plan-new')}?{urlencode(asked)}").content.decode()
    assert reverse("workshop:process-sheet", args=[question.design.pk]) in shown


def brought_hook(desk, key_id):
    """Return the sheet of a design that another workshop told of: melt at 228 °C, over three runs."""
    settings = [{"name": "melt", "value": "228", "runs": 3}]
    settings += [{"name": "dwell", "value": "3", "unit": "s", "is_chosen": True}]
    machine = {"kind": "injection", "force_kn": "250", "platen_length_mm": "300"}
    machine |= {"platen_width_mm": "200.5", "shot_cm3": "60", "barrel_cm3": "180"}
    sheet = {"polymer": "PP", "machine": machine, "runs": 3, "settings": settings}
    document = {"format": "design-3", "name": "Hook", "made_by": "inject"}
    document |= {"nominal_mass_mg": 10_000, "process_sheets": [sheet]}
    sent = {"key": key_id, "document": json.dumps(document)}
    assert desk.post(reverse("products:design-bring"), sent).status_code == 302
    return make_sheet_key(design=Design.objects.get(name="Hook"))


def test_a_sheet_of_another_workshop_is_shown_as_such_until_it_was_tried(
    floor, desk, operator, key_id
):
    key = brought_hook(desk, key_id)
    found = text(floor.get(address(key)))
    assert "From another workshop, not yet tried here" in found
    assert "(250 kN, platen 300 × 200.5 mm, 60 cm³ a shot, 180 cm³ in the barrel)" in found
    assert "Melt temperature 228 °C" in found
    assert "It rests on 3 runs that worked there." in found
    bare = floor.get(reverse("workshop:process-sheet", args=[key.design.pk]))
    assert bare.context["sheet"].polymer == key.polymer  # it opens on what was told
    other = floor.get(f"{bare.wsgi_request.path}?polymer={polymer('PE-HD').pk}").content.decode()
    assert f'href="?polymer={key.polymer.pk}"' in other
    closed_run(operator, key, melts=[224])
    found = text(floor.get(address(key)))
    assert "not yet tried here" not in found
    assert "1 closed run here worked since." in found
    assert "runs that worked here: 224 °C, only 1 run, too few to go by" in found


def test_the_spreadsheet_has_what_another_workshop_told_and_says_whose_it_is(
    floor, desk, lead, operator, key_id
):
    key = brought_hook(desk, key_id)

    def lines():
        answer = floor.get(address(key, "process-csv"))
        rows = list(csv.DictReader(StringIO(answer.content.decode())))
        return {row["setting"]: row for row in rows if "another" in row["from"]}, rows

    told, _rows = lines()
    assert {row["from"] for row in told.values()} == {"another workshop, not tried here"}
    melt = told["Melt temperature"]
    assert (melt["machine"], melt["median"], melt["runs"]) == ("injection", "228", "3")
    assert (told["dwell"]["chosen"], told["dwell"]["unit"], told["dwell"]["median"]) == (
        "3",
        "s",
        "",
    )
    ends = {"typical": Decimal(220)}
    set_own_figure(
        polymer=key.polymer, name="fume-above", ends=ends, act=make_act(lead, "smelt it")
    )
    assert "above the fume ceiling of 220 °C" in lines()[0]["Melt temperature"]["note"]
    closed_run(operator, key, melts=[215])
    told, rows = lines()
    assert told["dwell"]["from"].startswith("another workshop, tried here")
    own = [row for row in rows if row["from"] == "this workshop"]
    assert ("Melt temperature", "215") in [(row["setting"], row["median"]) for row in own]
