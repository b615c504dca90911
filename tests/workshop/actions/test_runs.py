"""A run on the ledger, from loading to closing."""

import pytest
from django.core.exceptions import ValidationError

from inventory.models import Lot
from inventory.queries.lots import open_lot_in
from inventory.queries.traces import origins_of, uses_of
from products.models import Part
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from workshop.actions.runs import close_run

pytestmark = pytest.mark.django_db


def test_a_pressed_sheet_leads_back_to_its_deliveries(operator):
    _bin, first = make_full_bin(operator)
    _bin, second = make_full_bin(operator, bin_fields={"place": "shelf 2"})
    offcuts = BinFactory()
    run = make_run(operator)
    load(run, first, operator, 6 * KG)
    load(run, second, operator, 2 * KG)
    weigh_out(run, operator, "part", 7 * KG, pieces=2)
    weigh_out(run, operator, "offcut", KG, bin=offcuts)
    close_run(run=run, act=make_act(operator))
    part = Part.objects.first()
    assert [(row.lot, row.mass_mg) for row in origins_of(part.lot)] == [
        (first, 2_625_000),
        (second, 875_000),
    ]
    assert open_lot_in(offcuts).held_mg == KG
    assert sum(row.mass_mg for row in uses_of(first)) == 10 * KG
    assert not Lot.objects.filter(kind="charge").open().exists()


def test_refuses_to_close_over_a_gap_the_scales_cannot_explain(operator):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 5 * KG, pieces=1)
    with pytest.raises(ValidationError) as refusal:
        close_run(run=run, act=make_act(operator))
    assert refusal.value.code == "gap"
