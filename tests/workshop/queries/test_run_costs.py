"""What runs took, used and cost, by hand-worked runs of a small workshop."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.utils import timezone

from inventory.actions.lots import move_lot
from inventory.models import Mass
from products.calculations.sheet_sizes import Size
from tests.factories.costs import put_price, put_rate, set_euro
from tests.factories.inventory import KG, BinFactory, grams, make_act, make_full_bin
from tests.factories.making import make_old_run, pause, step, tap
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    load,
    make_part,
    make_run,
    weigh_out,
)
from workshop.actions.charges import carry_over
from workshop.actions.meterings import note_meter
from workshop.actions.runs import close_run
from workshop.actions.yields import Outcome, yield_from_run
from workshop.models import Run
from workshop.queries.run_costs import account_of_run, run_accounts

pytestmark = pytest.mark.django_db


def account(run):
    return account_of_run(run, timezone.now())


def material(run):
    found = account(run).cost
    return found.lines[0].amount, found.lines[0].is_least, found.known_share


def press(by, lot, mass_mg=4 * KG, part_mg=3 * KG, bin=None, **more):
    """Load a lot; three kilograms become a part, the rest goes back into a bin or is lost."""
    run = make_run(by, **more)
    load(run, lot, by, mass_mg)
    weigh_out(run, by, "part", part_mg, pieces=1)
    if bin:
        weigh_out(run, by, "offcut", mass_mg - part_mg, bin=bin)
    close_run(run=run, act=make_act(by, "spilt"))
    return Run.objects.get(pk=run.pk)


def test_material_is_what_became_parts_and_what_was_lost(lead):
    """Hand-worked: 4 kg at 0.50, of which 1 kg was lost: 2.00."""
    set_euro(lead)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.5")
    assert material(press(lead, lot)) == (2, False, 1)


def test_what_goes_back_into_a_bin_takes_its_price_along(lead):
    """Hand-worked: 4 kg at 0.50; 1 kg of offcut went into a bin, and costs its 0.50 in the run that uses it up."""
    set_euro(lead)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.5")
    scrap = BinFactory()
    assert material(press(lead, lot, bin=scrap)) == (Fraction(3, 2), False, 1)
    offcut = scrap.lots.open().get()
    grind = make_run(lead, "granulate")
    load(grind, offcut, lead)
    weigh_out(grind, lead, "material", KG, bin=BinFactory())
    close_run(run=grind, act=make_act(lead))
    assert material(grind) == (Fraction(1, 2), False, 1)


def test_a_mixture_costs_by_shares_and_tells_what_has_no_price(lead):
    """Hand-worked: 10 kg at 0.60 and 5 kg without a price in one bin; 6 kg of it hold 4 kg at 0.60."""
    set_euro(lead)
    bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.6")
    _other, unpriced = make_full_bin(lead)
    move_lot(lot=unpriced, bin=bin, mass=grams(5000), act=make_act(lead))
    run = press(lead, bin.lots.open().get(), mass_mg=6 * KG, part_mg=6 * KG)
    assert material(run) == (Fraction(12, 5), True, Fraction(2, 3))


def test_a_price_that_comes_later_counts_for_runs_before(lead):
    set_euro(lead)
    _bin, lot = make_full_bin(lead)
    run = press(lead, lot)
    assert material(run) == (None, True, 0)
    put_price(lead, lot, 0)
    assert material(run) == (0, False, 1)


def test_without_a_currency_nothing_is_known(lead):
    _bin, lot = make_full_bin(lead)
    found = account(press(lead, lot)).cost
    assert (found.currency, found.is_known) == ("", False)


def test_a_carried_rest_counts_once(lead):
    """Hand-worked: 4 kg at 1; 1 kg is carried on and lost in the second charge: 4 in all."""
    set_euro(lead)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, 1)
    run = make_run(lead)
    load(run, lot, lead, 4 * KG)
    weigh_out(run, lead, "part", 3 * KG, pieces=1)
    carry_over(run=run, act=make_act(lead))
    load(run, lot, lead, KG)
    weigh_out(run, lead, "part", 2 * KG, pieces=1)
    close_run(run=run, act=make_act(lead))
    found = account(run)
    assert (found.cost.lines[0].amount, found.given.loaded_mg) == (5, 5 * KG)
    assert (found.cost.pieces, found.cost.good_mg) == (2, 5 * KG)


def test_a_piece_kept_to_be_cut_again_takes_its_price_along(lead):
    """Hand-worked: a sheet of 4 kg at 0.50; 2 kg became a part and 2 kg are kept."""
    set_euro(lead)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.5")
    board = DesignFactory(name="Board", length_um=1_000_000, width_um=500_000)
    sheet = make_part(lead, lot, 4 * KG, board)
    run = make_run(lead, "cut")
    load(run, sheet.lot, lead)
    outcome = Outcome("kept", Mass(2 * KG), 1, size=Size(500_000, 500_000))
    yield_from_run(run=run, outcome=outcome, act=make_act(lead))
    weigh_out(run, lead, "part", 2 * KG, pieces=1)
    assert material(run) == (1, False, 1)


def test_time_energy_and_tooling_of_a_run(lead):
    """Hand-worked: taps at 10, 20, 30 min with a step from 0 to 30 and 5 min of pause: 25 min at 2 kW."""
    set_euro(lead)
    machine, tool = MachineFactory(), ToolingFactory(changeover_minutes=15)
    for name, amount, thing in [
        ("labour", 18, None), ("electricity", "0.3", None), ("power", 4000, machine),
        ("machine-hour", 6, machine), ("tooling-price", 900, tool), ("tooling-cycles", 9000, tool),
    ]:  # fmt: skip
        put_rate(lead, name, amount, thing)
    run = make_old_run(lead, machine=machine, tooling=tool)
    step(run, lead, "heat", 0)
    for second in (600, 1200, 1800):
        tap(run, lead, second)
    pause(run, lead, 60, 360)
    found = account(run)
    amounts = {line.kind: line.amount for line in found.cost.lines}
    assert (found.time.worked_ms, found.time.changeover_basis) == (25 * 60_000, "register")
    assert found.energy.kwh == Fraction(25, 60) * 2
    assert amounts["energy"] == Fraction(1, 4)
    assert amounts["labour"] == Fraction(40, 60) * 18
    assert (amounts["machine"], amounts["tooling"]) == (Fraction(5, 2), Fraction(3, 10))


def test_the_meter_counts_before_the_rating(lead):
    machine = MachineFactory()
    put_rate(lead, "power", 4000, machine)
    run = make_old_run(lead, machine=machine)
    assert account(run).energy.basis == "rated"
    note_meter(run=run, what="used", kwh=Decimal("1.5"), act=make_act(lead))
    assert (account(run).energy.basis, account(run).energy.kwh) == ("meter", Fraction(3, 2))


def test_no_changeover_where_the_run_before_had_the_same_tooling(lead):
    machine, tool = MachineFactory(), ToolingFactory(changeover_minutes=15)
    first = make_run(lead, machine=machine, tooling=tool)
    second = make_run(lead, machine=machine, tooling=tool)
    assert account(first).time.changeover_ms == 15 * 60_000
    assert account(second).time.changeover_ms == 0


def test_many_runs_take_as_many_queries_as_one(lead, django_assert_num_queries):
    set_euro(lead)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.5")
    runs = [press(lead, lot, mass_mg=KG, part_mg=KG // 2, bin=BinFactory()) for _ in range(4)]
    with django_assert_num_queries(14):
        account(runs[0])
    with django_assert_num_queries(14):
        found = run_accounts(Run.objects.order_by("pk"), timezone.now())
    assert [each.run for each in found] == runs
    assert {each.cost.lines[0].amount for each in found} == {Fraction(1, 4)}
