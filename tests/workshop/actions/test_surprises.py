"""What looks like a slip is asked back once, before it is booked, and passes when it is confirmed."""

import pytest

from inventory.models import Mass
from inventory.queries.lots import open_lot_in
from tests.factories.book import refused, sentence, written
from tests.factories.inventory import KG, BinFactory, ScaleFactory, make_act, make_full_bin
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    load,
    make_part,
    make_run,
    weigh_out,
)
from workshop.actions.charges import Portion, load_run
from workshop.actions.runs import close_run
from workshop.actions.yields import Outcome, yield_from_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator, bin_fields={"capacity_mg": 900 * KG}, net_mg=800 * KG)[1]


@pytest.fixture
def run(operator):
    """A press that makes one sheet of 4 kg."""
    return make_run(operator)


def asked_load(run, lot, by, mass_mg, scale=None, **more):
    portion = Portion(lot, Mass.weighed(mass_mg, scale))
    return load_run(run=run, portion=portion, act=make_act(by), **more)


def asked_yield(run, by, kind, mass_mg, pieces=0, scale=None, **more):
    outcome = Outcome(kind, Mass.weighed(mass_mg, scale), pieces, more.pop("bin", None))
    return yield_from_run(run=run, outcome=outcome, act=make_act(by), **more)


def test_a_load_as_wanted_is_booked_without_a_question(run, lot, operator):
    assert asked_load(run, lot, operator, 4_200_000).mass_mg == 4_200_000


def test_a_pinch_of_colour_is_booked_without_a_question(run, lot, operator):
    assert asked_load(run, lot, operator, 40_000).mass_mg == 40_000


def test_ten_times_too_much_is_asked_back(run, lot, operator):
    with refused("surprising") as told:
        asked_load(run, lot, operator, 42 * KG)
    assert sentence(told) == "You entered 42 kg, about 10 times the 4 kg that is wanted."


def test_grams_for_kilograms_are_asked_back(run, lot, operator):
    with refused("surprising") as told:
        asked_load(run, lot, operator, 4_200)
    assert sentence(told) == "You entered 4.2 g; the 4 kg wanted is about 1000 times that."


def test_twice_the_plan_is_asked_back_and_twice_a_cycle_without_one_is_not(operator, run, lot):
    assert asked_load(run, lot, operator, 9 * KG).mass_mg == 9 * KG
    planned = make_run(operator, planned_pieces=2)
    with refused("surprising") as told:
        asked_load(planned, lot, operator, 17 * KG)
    assert sentence(told) == "You entered 17 kg where 8 kg is wanted in all."


def test_what_is_confirmed_is_booked_as_entered(run, lot, operator):
    assert asked_load(run, lot, operator, 42 * KG, is_confirmed=True).mass_mg == 42 * KG


def test_the_same_act_may_be_sent_again_confirmed(run, lot, operator):
    act, portion = make_act(operator), Portion(lot, Mass(42 * KG))
    with refused("surprising"):
        load_run(run=run, portion=portion, act=act)
    first = load_run(run=run, portion=portion, act=act, is_confirmed=True)
    assert load_run(run=run, portion=portion, act=act) == first


@pytest.mark.parametrize("thing", ["machine", "tooling"])
def test_more_than_goes_in_at_once_is_asked_back(operator, lot, thing):
    made = {"machine": MachineFactory, "tooling": ToolingFactory}[thing](capacity_mg=5 * KG)
    run = make_run(operator, "press", **{thing: made})
    load(run, lot, operator, 3 * KG)
    with refused("surprising") as told:
        asked_load(run, lot, operator, 2_500_000)
    assert sentence(told).startswith("The charge would hold 5.5 kg, and 5 kg is what")


def test_what_a_plan_of_several_cycles_wants_is_loaded_unasked(operator, lot):
    """A frame of 5 kg is filled four times for four sheets of 4 kg: the 16 kg are no slip, 18 kg are."""
    design = DesignFactory(nominal_mass_mg=4 * KG, made_by="press")
    frame = ToolingFactory(capacity_mg=5 * KG)
    run = make_run(operator, "press", design=design, tooling=frame, planned_pieces=4)
    with refused("surprising"):
        asked_load(run, lot, operator, 18 * KG)
    assert asked_load(run, lot, operator, 16 * KG).mass_mg == 16 * KG


def test_what_a_plan_of_one_cycle_wants_must_go_in_at_once(operator, lot):
    design = DesignFactory(nominal_mass_mg=6 * KG, made_by="press")
    frame = ToolingFactory(capacity_mg=5 * KG)
    run = make_run(operator, "press", design=design, tooling=frame, planned_pieces=1)
    with refused("surprising"):
        asked_load(run, lot, operator, 6 * KG)


def test_what_fills_the_machine_to_the_brim_is_not(operator, lot):
    run = make_run(operator, "granulate", machine=MachineFactory(kind="granulator", capacity_mg=KG))
    assert asked_load(run, lot, operator, KG).mass_mg == KG


def test_less_than_a_step_of_the_scale_is_asked_back(operator, lot):
    run, scale = make_run(operator, "granulate"), ScaleFactory(resolution_mg=10_000)
    with refused("surprising") as told:
        asked_load(run, lot, operator, 2_500, scale)
    assert sentence(told) == "You entered 2.5 g, and the scale shows steps of 10 g."


def test_more_than_the_scale_weighs_is_asked_back(operator, lot):
    run, scale = make_run(operator, "granulate"), ScaleFactory(capacity_mg=60 * KG)
    with refused("surprising"):
        asked_load(run, lot, operator, 61 * KG, scale)


def test_more_than_the_bin_holds_is_refused_and_not_asked_back(run, lot, operator):
    with refused("short"):
        asked_load(run, lot, operator, 801 * KG, is_confirmed=True)
    with refused("short"):
        asked_load(run, lot, operator, 801 * KG)


def test_pieces_far_off_the_design_are_asked_back(run, lot, operator):
    load(run, lot, operator, 9 * KG)
    with refused("surprising") as told:
        asked_yield(run, operator, "part", 6 * KG, pieces=3)
    assert sentence(told) == "That makes 2 kg a piece, and one should weigh 4 kg."
    assert asked_yield(run, operator, "part", 6 * KG, pieces=3, is_confirmed=True).pieces == 3


def test_pieces_ten_times_too_light_are_asked_back(run, lot, operator):
    load(run, lot, operator, 9 * KG)
    with refused("surprising") as told:
        asked_yield(run, operator, "part", 410_000, pieces=1)
    assert "the usual 4 kg is about 10 times that" in sentence(told)


def close_three(design, lot, by, piece_mg, offcut_mg):
    for _number in range(3):
        run = make_run(by, design=design)
        load(run, lot, by, piece_mg + offcut_mg)
        weigh_out(run, by, "part", piece_mg, pieces=1)
        weigh_out(run, by, "offcut", offcut_mg, bin=BinFactory())
        close_run(run=run, act=make_act(by))


def test_what_closed_runs_weighed_counts_for_more_than_the_design(operator, lot):
    design = DesignFactory(nominal_mass_mg=4 * KG)
    close_three(design, lot, operator, 6 * KG, KG)
    run = make_run(operator, design=design)
    load(run, lot, operator, 7 * KG)
    assert asked_yield(run, operator, "part", 6 * KG, pieces=1).pieces == 1


def test_offcuts_far_off_what_closed_runs_gave_are_asked_back(operator, lot):
    design = DesignFactory(nominal_mass_mg=4 * KG)
    close_three(design, lot, operator, 4 * KG, 200_000)
    run, bin = make_run(operator, design=design), BinFactory()
    load(run, lot, operator, 4_200_000)
    with refused("surprising") as told:
        asked_yield(run, operator, "offcut", 2 * KG, bin=bin)
    assert sentence(told) == "You entered 2 kg, about 10 times the usual 200 g."
    assert asked_yield(run, operator, "offcut", 250_000, bin=bin).mass_mg == 250_000


def passed(by, times, mass_mg=4 * KG):
    """Return a fill of a bin that was melted so many times: pressed, ground, and again."""
    lot = make_full_bin(by, net_mg=mass_mg)[1]
    for _ in range(times):
        part = make_part(by, lot, mass_mg)
        ground, bin = make_run(by, "granulate"), BinFactory()
        load(ground, part.lot, by)
        weigh_out(ground, by, "material", mass_mg, bin=bin)
        close_run(run=ground, act=make_act(by))
        lot = open_lot_in(bin)
    return lot


@pytest.fixture
def limited(operator):
    """A press run of a sheet of 4 kg that takes 30 % melted twice or more."""
    return make_run(operator, design=DesignFactory(passes_from=2, passes_most_percent=30))


def test_material_melted_too_often_is_asked_back(limited, operator):
    load(limited, passed(operator, 0), operator, 2 * KG)
    lot = passed(operator, 2)
    before = written()
    with refused("surprising") as told:
        asked_load(limited, lot, operator, 2 * KG)
    assert written() == before
    design = limited.design.name
    assert sentence(told) == (
        "50\u00a0% of the charge would be material that was melted 2 times or more; "
        f"{design} takes 30\u00a0% at most."
    )


def test_a_share_just_above_reads_as_above(limited, operator):
    fresh, often = passed(operator, 0), passed(operator, 2)
    load(limited, fresh, operator, 2_799 * 1000)
    with refused("surprising") as told:
        asked_load(limited, often, operator, 1_201 * 1000)
    assert sentence(told).startswith("31\u00a0% of the charge")


def test_a_share_at_the_limit_is_booked(limited, operator):
    load(limited, passed(operator, 0), operator, 2_800 * 1000)
    assert asked_load(limited, passed(operator, 2), operator, 1_200 * 1000)


def test_material_melted_once_is_within_a_limit_of_twice(limited, operator):
    assert asked_load(limited, passed(operator, 1), operator, 4 * KG)


def test_fresh_material_that_thins_a_charge_is_booked(limited, operator):
    load(limited, passed(operator, 2), operator, 3 * KG)
    assert asked_load(limited, passed(operator, 0), operator, 1 * KG)


def test_confirmed_it_is_booked_as_entered(limited, operator):
    lot = passed(operator, 2)
    assert asked_load(limited, lot, operator, 4 * KG, is_confirmed=True).mass_mg == 4 * KG


def test_a_design_without_a_limit_asks_nothing(run, operator):
    assert asked_load(run, passed(operator, 2), operator, 4 * KG)


def test_a_slip_does_not_hide_the_limit(limited, operator):
    lot = passed(operator, 2)
    with refused("surprising") as told:
        asked_load(limited, lot, operator, 4_000)
    assert sentence(told).startswith("You entered 4 g; the 4 kg wanted is about 1000 times that.")
    assert "2 times or more" in sentence(told)
