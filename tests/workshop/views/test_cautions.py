"""Each caution stands beside its act, with the way to the sheet of the material.

What is named here is common practice of the trade; dust after the list of combustible dusts, PVC and
POM after training notes of a moulding firm.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.actions.own_figures import set_own_figure
from tests.factories.inventory import KG, make_act, make_delivery, make_full_bin, polymer
from tests.factories.workshop import MachineFactory, load, make_run
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
