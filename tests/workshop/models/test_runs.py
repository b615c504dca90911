"""What the database itself refuses of runs, charges, loads and yields."""

import pytest

from products.models import Part
from tests.factories.book import broken
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from workshop.models import Charge, Load, Run, Yield

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 2 * KG)
    weigh_out(run, operator, "part", KG, pieces=1)
    return run


@pytest.mark.parametrize(
    "fields", [{"is_abandoned": True}, {"is_abandoned": True, "abandon_reason": "stuck"}]
)
def test_run_abandoned_with_reason(run, fields):
    with broken("run_abandoned_with_reason"):
        Run.objects.update(**fields)


def test_charge_number_once_per_run(run):
    columns = "workshop_charge.run_id, workshop_charge.number"
    with broken("charge_number_once_per_run", columns):
        Charge.objects.create(run=run, number=1, lot=Part.objects.get().lot)


def test_load_has_mass(run):
    with broken("load_has_mass"):
        Load.objects.update(mass_mg=0)


def test_yield_has_mass(run):
    with broken("yield_has_mass"):
        Yield.objects.update(mass_mg=0)


def test_yield_parts_have_pieces(run):
    with broken("yield_parts_have_pieces"):
        Yield.objects.update(pieces=0)


def test_a_run_says_its_number_and_its_state(run):
    assert (run.number, run.reference) == (f"R-{run.pk:04d}", f"run R-{run.pk:04d}")
    assert run.state == "open"


def test_kept_pieces_have_pieces_too(run):
    with broken("yield_parts_have_pieces"):
        Yield.objects.update(kind="kept", pieces=0)
