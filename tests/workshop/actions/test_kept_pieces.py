"""A cut run keeps pieces: parts of the sheet's design with a size of their own, by the book's rules."""

import pytest
from django.utils import timezone

from inventory.actions.lots import hold_lot
from inventory.actions.postings import reverse_posting
from inventory.calculations.periods import month_of
from inventory.models import Mass, Transfer
from inventory.queries.verification import first_fault
from products.calculations.sheet_sizes import Size
from products.models import Part, Passport
from tests.factories.book import refused, written
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_part, make_run, weigh_out
from tests.kept import kept
from workshop.actions.runs import close_run
from workshop.actions.yields import Outcome, yield_from_run
from workshop.queries.run_figures import run_figures

pytestmark = pytest.mark.django_db

HALF = Size(500_000, 500_000)


@pytest.fixture
@kept
def sheet(operator):
    """A sheet of 1000 x 500 mm and 4 kg."""
    design = DesignFactory(name="Board", length_um=1_000_000, width_um=500_000)
    return make_part(operator, make_full_bin(operator)[1], 4 * KG, design)


@pytest.fixture
def run(operator, sheet):
    run = make_run(operator, "cut")
    load(run, sheet.lot, operator)
    return run


def keep(run, by, mass_mg=2 * KG, pieces=1, act=None, **more):
    size, sheet = more.pop("size", HALF), more.pop("sheet", None)
    outcome = Outcome("kept", Mass(mass_mg), pieces, size=size, sheet=sheet)
    return yield_from_run(run=run, outcome=outcome, act=act or make_act(by), **more)


def test_a_piece_is_a_part_of_the_sheets_design_with_its_own_size_and_mass(run, operator, sheet):
    keep(run, operator)
    piece = Part.objects.latest("pk")
    assert (piece.design, piece.own_size, piece.pieces) == (sheet.design, HALF, 1)
    lot = piece.lot
    assert (lot.code, lot.kind, lot.form, lot.held_mg) == (piece.code, "part", "sheet", 2 * KG)
    transfer = Transfer.objects.get(target=lot)
    assert (transfer.role, transfer.melted) == ("part", False)


def test_each_of_several_pieces_has_a_code_even_where_sheets_are_told_by_the_bag(
    run, operator, sheet
):
    type(sheet.design).objects.update(tracked="bag")
    keep(run, operator, 2 * KG, pieces=2, size=Size(250_000, 500_000))
    assert Part.objects.filter(length_um=250_000, pieces=1).count() == 2


@pytest.mark.parametrize("size", [None, Size(1_000_001, 500_000), Size(501_000, 501_000)])
def test_refuses_a_piece_without_a_size_or_larger_than_the_sheet(run, operator, size):
    before = written()
    with refused("size"):
        keep(run, operator, size=size)
    assert written() == before


def test_refuses_a_piece_of_what_is_no_sheet(operator):
    profile = DesignFactory(form="profile", made_by="press")
    part = make_part(operator, make_full_bin(operator)[1], 4 * KG, profile)
    run = make_run(operator, "cut")
    load(run, part.lot, operator)
    with refused("no-sheet"):
        keep(run, operator)


def test_asks_which_sheet_where_several_designs_were_loaded(run, operator, sheet):
    other = DesignFactory(name="Panel", length_um=500_000, width_um=500_000)
    load(run, make_part(operator, make_full_bin(operator)[1], 2 * KG, other).lot, operator)
    with refused("which-sheet"):
        keep(run, operator)
    absent = DesignFactory()
    with refused("no-sheet"):
        keep(run, operator, sheet=absent)
    keep(run, operator, sheet=other)
    assert Part.objects.latest("pk").design == other


def test_refuses_a_kept_piece_without_a_count_or_a_mass(run, operator):
    with refused("pieces"):
        keep(run, operator, pieces=0)
    with refused("mass"):
        keep(run, operator, mass_mg=0)


def test_refuses_more_than_the_charge_holds(run, operator):
    with refused("short"):
        keep(run, operator, 5 * KG, is_confirmed=True)


def test_asks_back_a_piece_that_weighs_far_off_its_area(run, operator):
    with refused("surprising"):
        keep(run, operator, 200_000)
    keep(run, operator, 200_000, is_confirmed=True)


def test_a_repeat_books_the_piece_once_and_another_size_is_another_act(run, operator):
    act = make_act(operator)
    keep(run, operator, act=act)
    before = written()
    keep(run, operator, act=act)
    assert written() == before
    with refused("key-reused"):
        keep(run, operator, act=act, size=Size(500_000, 400_000))


def test_a_piece_takes_over_the_hold_of_its_sheet(run, operator, sheet):
    hold_lot(lot=run.charges.get().lot, act=make_act(operator, "cracked"))
    keep(run, operator)
    assert Part.objects.latest("pk").lot.holds.open().exists()


def test_a_run_closes_with_its_pieces_and_they_get_passports(run, operator):
    keep(run, operator)
    weigh_out(run, operator, "part", 2 * KG, pieces=1)
    close_run(run=run, act=make_act(operator))
    assert Passport.objects.filter(part__length_um=500_000).count() == 1
    assert first_fault() is None


def test_pieces_kept_are_no_yield_of_what_the_run_was_to_make(run, operator):
    keep(run, operator)
    weigh_out(run, operator, "part", KG, pieces=1)
    weigh_out(run, operator, "offcut", KG, bin=BinFactory())
    close_run(run=run, act=make_act(operator))
    figures = {each.design: each for each in run_figures(month_of(timezone.localdate()))}
    figure = figures[str(run.design)]
    assert (figure.loaded_mg, figure.parts_mg) == (4 * KG, KG)


def test_a_reversed_piece_is_no_part_any_more(run, operator):
    made = keep(run, operator)
    reverse_posting(posting=made.posting, act=make_act(operator, "slip"))
    assert not Part.objects.made().filter(length_um=500_000).exists()
