"""What a run should take and give."""

import pytest

from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    load,
    make_run,
    weigh_out,
)
from workshop.actions.runs import abandon_run, close_run
from workshop.queries.expectations import (
    Experience,
    Filling,
    capacity_mg,
    expected_mass_mg,
    experience_of,
    filling_of,
    piece_mass_mg,
    short_mg,
    wanted_mass_mg,
)
from workshop.queries.runs import balances

pytestmark = pytest.mark.django_db
NONE = Experience()


@pytest.fixture
def design(db):
    return DesignFactory(nominal_mass_mg=4 * KG)


@pytest.fixture
def lot(operator):
    return make_full_bin(operator, bin_fields={"capacity_mg": 900 * KG}, net_mg=800 * KG)[1]


def closed_run(design, lot, by, *, part=4 * KG, offcut=0, leftover=0):
    run = make_run(by, design=design)
    load(run, lot, by, part + offcut + leftover)
    weigh_out(run, by, "part", part, pieces=1)
    for kind, mass_mg in {"offcut": offcut, "leftover": leftover}.items():
        if mass_mg:
            weigh_out(run, by, kind, mass_mg, bin=BinFactory())
    return close_run(run=run, act=make_act(by))


def test_two_runs_are_not_enough_to_learn_from(design, lot, operator):
    closed_run(design, lot, operator)
    closed_run(design, lot, operator)
    assert experience_of(make_run(operator, design=design)) == NONE


def test_the_median_of_three_runs_bears_one_wrong_one(design, lot, operator):
    for part in (4_100_000, 4_200_000, 40 * KG):
        closed_run(design, lot, operator, part=part, offcut=part // 9)
    found = experience_of(make_run(operator, design=design))
    assert (found.runs, found.piece_mg) == (3, 4_200_000)
    assert found.shares["part"] == pytest.approx(0.9, abs=1e-3)
    assert found.shares["offcut"] == pytest.approx(0.1, abs=1e-3)


def test_what_was_taken_out_as_it_went_in_is_no_part_of_what_was_worked(design, lot, operator):
    for _number in range(3):
        closed_run(design, lot, operator, part=4 * KG, offcut=KG, leftover=5 * KG)
    shares = experience_of(make_run(operator, design=design)).shares
    assert shares == {"part": 0.8, "offcut": 0.2}


def test_abandoned_runs_and_other_designs_teach_nothing(design, lot, operator):
    for _number in range(3):
        abandon_run(run=make_run(operator, design=design), act=make_act(operator, "jam"))
        closed_run(DesignFactory(), lot, operator)
    assert experience_of(make_run(operator, design=design)) == NONE


def test_learns_in_three_queries(design, lot, operator, django_assert_num_queries):
    for _number in range(4):
        closed_run(design, lot, operator)
    run = make_run(operator, design=design)
    with django_assert_num_queries(3):
        assert experience_of(run).runs == 4


def test_a_press_without_a_plan_wants_one_cycle(operator, design):
    assert wanted_mass_mg(make_run(operator, design=design), NONE) == 4 * KG


def test_the_planned_pieces_are_wanted_and_what_usually_becomes_offcut_too(operator, design):
    run = make_run(operator, design=design, planned_pieces=3)
    assert wanted_mass_mg(run, NONE) == 12 * KG
    assert wanted_mass_mg(run, Experience(3, 4 * KG, {"part": 0.8})) == 15 * KG


def test_nothing_says_what_grinding_or_an_unplanned_mould_wants(operator):
    assert wanted_mass_mg(make_run(operator, "granulate"), NONE) is None
    assert wanted_mass_mg(make_run(operator, "inject"), NONE) is None


def test_a_piece_weighs_what_was_learned_else_what_the_design_says(operator, design):
    run = make_run(operator, design=design)
    assert piece_mass_mg(run, NONE) == 4 * KG
    assert piece_mass_mg(run, Experience(3, 5 * KG)) == 5 * KG


def test_the_smaller_of_machine_and_tooling_is_what_goes_in(operator):
    machine, frame = MachineFactory(capacity_mg=9 * KG), ToolingFactory(capacity_mg=5 * KG)
    assert capacity_mg(make_run(operator, machine=machine, tooling=frame)) == 5 * KG
    assert capacity_mg(make_run(operator, machine=machine)) == 9 * KG
    assert capacity_mg(make_run(operator)) is None


def test_the_filling_counts_the_charge_and_the_whole_run(operator, lot, design):
    run = make_run(operator, design=design, planned_pieces=2)
    load(run, lot, operator, 4 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    load(run, lot, operator, KG)
    filling = filling_of(run, balances(run), NONE)
    assert (filling.charge_mg, filling.run_mg, filling.still_mg) == (KG, 5 * KG, 3 * KG)


def test_a_sealed_charge_is_not_what_the_next_load_goes_into(operator, lot, design):
    run = make_run(operator, design=design)
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    filling = filling_of(run, balances(run), NONE)
    assert (filling.charge_mg, filling.still_mg, filling.over_mg) == (0, 0, KG)


def test_the_offcuts_to_come_are_the_share_less_what_came_already(operator, lot, design):
    run = make_run(operator, design=design)
    load(run, lot, operator, 10 * KG)
    learned = Experience(3, 4 * KG, {"offcut": 0.1})
    assert expected_mass_mg(balances(run)[0], "offcut", learned) == KG
    weigh_out(run, operator, "offcut", 400_000, bin=BinFactory())
    assert expected_mass_mg(balances(run)[0], "offcut", learned) == 600_000
    assert expected_mass_mg(balances(run)[0], "dust", learned) is None


@pytest.mark.parametrize(
    ("wanted", "loaded", "short"),
    [
        (894_255, 894_000, 0),  # 255 mg: no scale of the floor shows them
        (894_000, 894_255, 0),
        (894_255, 893_000, 1_255),
        (100 * KG, 100 * KG - 100_000, 0),
        (100 * KG, 100 * KG - 100_001, 100_001),
        (9_000, 8_910, 0),
        (9_000, 8_900, 100),
        (0, 5 * KG, 0),
    ],
)
def test_what_is_wanted_is_reached_as_closely_as_anybody_weighs(wanted, loaded, short):
    assert short_mg(wanted, loaded) == short
    assert Filling(0, loaded, wanted, None).still_mg == short
