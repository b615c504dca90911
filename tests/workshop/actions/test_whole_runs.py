"""A whole run of each operation: what goes in comes out, and all of it leads back to the delivery."""

import pytest

from inventory.models import Lot, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.traces import origins_of, uses_of
from products.models import Part
from tests.factories.inventory import (
    KG,
    BinFactory,
    make_act,
    make_delivery,
    make_full_bin,
)
from tests.factories.workshop import (
    DesignFactory,
    load,
    make_part,
    make_run,
    weigh_out,
)
from workshop.actions.runs import close_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


def finish(run, by):
    return close_run(run=run, act=make_act(by))


def test_granulates_whole_items_into_flake_and_dust(operator):
    lot, flakes, dust = make_delivery(operator, form="whole").lot, BinFactory(), BinFactory()
    run = make_run(operator, "granulate")
    load(run, lot, operator, 8 * KG)
    weigh_out(run, operator, "material", 7 * KG, bin=flakes)
    weigh_out(run, operator, "dust", KG, bin=dust)
    finish(run, operator)
    assert (open_lot_in(flakes).form, open_lot_in(dust).form) == ("flake", "dust")
    assert origins_of(open_lot_in(flakes))[0].lot == lot


def test_blends_two_lots_into_one(operator):
    first, second = make_delivery(operator).lot, make_delivery(operator, colour="red").lot
    bin, run = BinFactory(), make_run(operator, "blend")
    load(run, first, operator, 6 * KG)
    load(run, second, operator, 2 * KG)
    weigh_out(run, operator, "material", 8 * KG, bin=bin)
    finish(run, operator)
    mixture = open_lot_in(bin)
    assert [(row.lot, row.share) for row in origins_of(mixture)] == [(first, 0.75), (second, 0.25)]
    assert (mixture.form, mixture.colour.is_mixed) == ("flake", True)


def test_a_pressed_sheet_leads_back_to_its_deliveries(operator):
    first, second = make_full_bin(operator)[1], make_full_bin(operator)[1]
    offcuts, run = BinFactory(), make_run(operator)
    load(run, first, operator, 6 * KG)
    load(run, second, operator, 2 * KG)
    weigh_out(run, operator, "part", 7 * KG, pieces=2)
    weigh_out(run, operator, "offcut", KG, bin=offcuts)
    finish(run, operator)
    part = Part.objects.first()
    assert [(row.lot, row.mass_mg) for row in origins_of(part.lot)] == [
        (first, 2_625_000),
        (second, 875_000),
    ]
    assert open_lot_in(offcuts).held_mg == KG
    assert sum(row.mass_mg for row in uses_of(first)) == 10 * KG
    assert not Lot.objects.filter(kind="charge").open().exists()


def test_injects_a_bag_of_pieces_with_purging_and_rejects(lot, operator):
    design = DesignFactory(made_by="inject", form="part", tracked="bag", nominal_mass_mg=50_000)
    run = make_run(operator, "inject", design)
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "purging", KG, bin=BinFactory())
    weigh_out(run, operator, "part", 4 * KG, pieces=80)
    weigh_out(run, operator, "reject", KG, bin=BinFactory())
    finish(run, operator)
    assert [(part.pieces, part.lot.held_mg) for part in Part.objects.all()] == [(80, 4 * KG)]
    assert set(Lot.objects.filter(kind="fill").values_list("form", flat=True)) == {
        "purging",
        "offcut",
    }


def test_extrudes_pellets_without_a_design(lot, operator):
    bin, run = BinFactory(), make_run(operator, "extrude")
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "material", 6 * KG, bin=bin)
    finish(run, operator)
    assert open_lot_in(bin).form == "pellet"


def test_extrudes_profiles_with_a_design(lot, operator):
    run = make_run(operator, "extrude", DesignFactory(made_by="extrude", form="profile"))
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 6 * KG, pieces=3)
    finish(run, operator)
    assert [part.lot.form for part in Part.objects.all()] == ["profile"] * 3


def test_cuts_a_sheet_into_parts_offcuts_and_dust(lot, operator):
    sheet, run = make_part(operator, lot, 5 * KG), make_run(operator, "cut")
    load(run, sheet.lot, operator)
    weigh_out(run, operator, "part", 3 * KG, pieces=6)
    weigh_out(run, operator, "offcut", 1_900_000, bin=BinFactory())
    weigh_out(run, operator, "dust", 100_000, reason="swept up")
    finish(run, operator)
    piece = Part.objects.filter(design=run.design).first()
    assert origins_of(piece.lot)[0].lot == lot
    assert Transfer.objects.latest("pk").role == "disposed"


def test_bends_a_part_into_another(lot, operator):
    flat, run = make_part(operator, lot, 5 * KG), make_run(operator, "form")
    load(run, flat.lot, operator)
    weigh_out(run, operator, "part", 5 * KG, pieces=1)
    finish(run, operator)
    assert Part.objects.here().get().design == run.design


def test_offcuts_go_round_and_keep_their_origin(lot, operator):
    bin = BinFactory()
    sheet, cutting = make_part(operator, lot, 5 * KG), make_run(operator, "cut")
    load(cutting, sheet.lot, operator)
    weigh_out(cutting, operator, "part", 3 * KG, pieces=1)
    weigh_out(cutting, operator, "offcut", 2 * KG, bin=bin)
    finish(cutting, operator)
    again = make_part(operator, open_lot_in(bin), 2 * KG)
    assert [(row.lot, row.share) for row in origins_of(again.lot)] == [(lot, 1.0)]
