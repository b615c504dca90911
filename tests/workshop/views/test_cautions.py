"""Each caution stands beside its act, with the way to the sheet of the material.

What is named here is common practice of the trade; dust after the list of combustible dusts, PVC and
POM after training notes of a moulding firm.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.actions.own_figures import set_own_figure
from tests.factories.api import send
from tests.factories.inventory import KG, make_act, make_delivery, make_full_bin, polymer
from tests.factories.workshop import DesignFactory, MachineFactory, load, make_run
from workshop.actions.readings import note_reading
from workshop.models import Machine
from workshop.views.cautions import DEFER, caution_for, reject_caution, sheet_caution

pytestmark = pytest.mark.django_db


def sheet_of(symbol):
    return f'href="{reverse("inventory:polymer-detail", args=[symbol])}"'


def loading(client, run, lot):
    return client.get(reverse("workshop:run-load", args=[run.code]), {"from": lot.code})


@pytest.mark.parametrize("kind", Machine.Kind.values)
def test_every_machine_has_a_caution_that_defers(kind):
    found = caution_for(Machine(kind=kind))
    assert found["text"]
    assert found["more"] == DEFER


@pytest.mark.parametrize("kind", ["granulator", "cutter"])
def test_dust_is_named_where_it_arises(kind):
    text = str(caution_for(Machine(kind=kind))["text"])
    assert "kept from any flame" in text
    assert "for a competent person to say" in text


@pytest.mark.parametrize("kind", ["press", "injection", "oven"])
def test_hot_moulds_are_named(kind):
    assert "mould" in str(caution_for(Machine(kind=kind))["text"])


@pytest.mark.parametrize("kind", ["press", "injection"])
def test_stored_energy_is_named(kind):
    assert "let the pressure off before opening" in str(caution_for(Machine(kind=kind))["text"])


def test_a_heated_run_says_from_where_its_polymer_fumes(floor, operator):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    shown = loading(floor, run, lot).content.decode()
    assert "Keep PE-HD below 280 °C, and ventilate" in shown
    assert "Dry it first" not in shown
    assert sheet_of("PE-HD") in shown
    load(run, lot, operator, KG)
    shown = floor.get(run.get_absolute_url()).content.decode()
    assert "Keep PE-HD below 280 °C, and ventilate" in shown
    assert sheet_of("PE-HD") in shown


def test_a_polymer_that_needs_drying_says_so_beside_the_load(floor, operator):
    _bin, lot = make_full_bin(operator, polymer="PET")
    run = make_run(operator, "extrude", design=None)
    shown = loading(floor, run, lot).content.decode()
    assert "Dry it first" in shown
    assert sheet_of("PET") in shown


def test_an_own_ceiling_is_told_beside_the_load(lead):
    ends = {"typical": Decimal(240)}
    set_own_figure(polymer=polymer("PP"), name="fume-above", ends=ends, act=make_act(lead, "smelt"))
    text = sheet_caution(MachineFactory.build(kind="press"), polymer("PP"))["text"]
    assert "Keep PP below 240 °C (own value since " in text


@pytest.mark.parametrize("kind", ["granulator", "blender", "cutter"])
def test_a_machine_that_does_not_heat_says_nothing_of_fumes(kind):
    assert sheet_caution(MachineFactory.build(kind=kind), polymer("PET")) is None


def test_nothing_is_said_of_a_polymer_that_nobody_knows():
    assert sheet_caution(MachineFactory.build(kind="press"), None) is None
    assert reject_caution(None) is None
    assert reject_caution(polymer("PP")) is None


@pytest.mark.parametrize("symbol", ["PVC-U", "POM"])
@pytest.mark.parametrize("operation", ["granulate", "press", "extrude"])
def test_reject_material_at_a_machine_is_refused_with_the_way_to_its_sheet(
    floor, operator, operation, symbol
):
    lot = make_delivery(operator, polymer=symbol).lot
    answer = loading(floor, make_run(operator, operation), lot)
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert f"Never grind or heat {symbol}." in shown
    assert sheet_of(symbol) in shown


def test_a_delivery_of_reject_material_says_so(floor, operator):
    delivery = make_delivery(operator, polymer="POM")
    shown = floor.get(delivery.get_absolute_url()).content.decode()
    assert "Reject material: never grind or heat it." in shown
    assert sheet_of("POM") in shown


def test_the_stop_above_the_ceiling_names_an_own_value_and_leads_to_the_sheet(
    floor, operator, lead
):
    ends = {"typical": Decimal(240)}
    act = make_act(lead, "smelt at 245")
    set_own_figure(polymer=polymer("PE-HD"), name="fume-above", ends=ends, act=act)
    run = make_run(operator, "inject")
    load(run, make_full_bin(operator)[1], operator, KG)
    note_reading(run=run, quantity="melt", value=Decimal(250), act=make_act(operator))
    shown = floor.get(reverse("workshop:run-make", args=[run.code])).content.decode()
    assert "Stop: the melt temperature is 250" in shown
    assert "Above 240 °C (own value since " in shown
    assert sheet_of("PE-HD") in shown


FULL = reverse("workshop:caution-list")


@pytest.mark.parametrize("kind", Machine.Kind.values)
def test_every_machine_leads_to_the_fuller_text(reader, kind):
    href = caution_for(Machine(kind=kind))["href"]
    page, anchor = href.split("#")
    assert f'id="{anchor}"' in reader.get(page).content.decode()


def test_the_fuller_text_defers_and_names_each_danger(reader):
    shown = reader.get(FULL).content.decode()
    assert "local codes and licensed practice come first" in shown
    for said in (
        "let the pressure off until the gauge shows none",
        "Neither is ground, dried, heated or kept in a machine here.",
        "Whether your dust can explode is for a competent person to say.",
        "melted wet they foam",
        "turn the heat down, purge or empty what stands hot",
    ):
        assert said in shown


@pytest.mark.parametrize("operation", ["press", "inject", "extrude", "form"])
def test_the_start_of_a_heated_run_has_its_caution(floor, operation):
    kinds = {"press": "press", "inject": "injection", "extrude": "extruder", "form": "forming"}
    MachineFactory(kind=kinds[operation])
    DesignFactory(made_by=operation)
    url = reverse("workshop:run-open")
    shown = floor.get(f"{url}?operation={operation}").content.decode()
    assert str(caution_for(Machine(kind=kinds[operation]))["text"])[:40] in shown
    assert FULL in shown


def test_a_plan_says_what_its_polymer_asks_for(floor, operator):
    design = DesignFactory(made_by="extrude", nominal_mass_mg=KG)
    machine = MachineFactory(kind="extruder")
    asked = {"design": design.pk, "pieces": 1, "machine": machine.pk}
    asked |= {"polymer": polymer("PET").pk}
    shown = floor.get(reverse("workshop:plan-new"), asked).content.decode()
    assert "Dry it first" in shown
    assert "Keep PET below 300 °C" in shown
    assert "let the pressure off before the die is opened" in shown


def test_where_pvc_or_pom_may_be_seen_it_is_named(floor):
    shown = floor.get(reverse("inventory:delivery-create")).content.decode()
    assert "PVC or POM seen?" in shown
    assert f"{FULL}#reject" in shown
    assert "PVC or POM among it: stop" in str(caution_for(Machine(kind="granulator"))["text"])


def test_a_reading_above_the_ceiling_stays_in_the_log_of_the_run(floor, operator):
    run = make_run(operator, "inject")
    load(run, make_full_bin(operator)[1], operator, KG)
    note_reading(run=run, quantity="melt", value=Decimal(285), act=make_act(operator))
    note_reading(run=run, quantity="melt", value=Decimal(230), act=make_act(operator))
    shown = floor.get(reverse("workshop:run-make", args=[run.code])).content.decode()
    assert "Stop: the melt temperature" not in shown  # the newest reading is below
    assert "above the fume ceiling of 280 °C" in shown


@pytest.mark.parametrize(
    ("last", "said"),
    [
        ("PP", "last worked PP; purge it and write the purge down before PE-HD"),
        ("POM", "last worked POM, which must never get into PE-HD, and no purge"),
    ],
)
def test_page_and_api_say_which_polymer_forbids_the_next(floor, api_client, operator, last, said):
    bin, lot = make_full_bin(operator)
    run = make_run(operator, machine=MachineFactory(last_polymer=polymer(last)))
    answer = loading(floor, run, lot)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    answer = send(api_client, f"runs/{run.code}/loads/", bin=bin.name, mass_mg=KG, confirmed=True)
    assert (answer.status_code, answer.json()["code"]) == (422, "needs-purge")
    assert said in answer.json()["detail"]
    assert not run.charges.filter(lot__in_mg__gt=0).exists()


def test_after_a_purge_the_next_polymer_goes_in_over_the_api(api_client, operator):
    bin, _lot = make_full_bin(operator)
    run = make_run(operator, machine=MachineFactory(last_polymer=polymer("PP")))
    send(api_client, f"machines/{run.machine.pk}/purges/", reason="run clear")
    answer = send(api_client, f"runs/{run.code}/loads/", bin=bin.name, mass_mg=KG, confirmed=True)
    assert answer.status_code == 201


@pytest.mark.parametrize(("last", "is_led"), [("PP", True), ("POM", False)])
def test_a_polymer_that_a_purge_lets_in_leads_to_writing_the_purge_down(
    floor, operator, last, is_led
):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator, machine=MachineFactory(last_polymer=polymer(last)))
    load_page = reverse("workshop:run-load", args=[run.code])
    way = f'<a class="button" href="{reverse("workshop:machine-purge", args=[run.machine.pk])}?next={load_page}"'
    refused = floor.get(load_page, {"from": lot.code, "chosen": "1"})
    assert refused.status_code == 422
    assert (way in refused.content.decode()) is is_led
    assert way not in floor.get(load_page).content.decode()
