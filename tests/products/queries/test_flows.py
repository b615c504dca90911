"""Parts in use in a period, held against asking each handover by itself."""

from datetime import UTC, date, datetime, timedelta
from random import Random

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from inventory.actions.postings import Line, post
from inventory.calculations.periods import Period, month_of, year_of
from inventory.models import Mass
from inventory.queries.flows import moment_of
from products.actions.assemblies import ItemPlan, set_assembly
from products.actions.fixings import put_in, swap_part, take_out
from products.actions.parts import hand_over_part, take_back_part
from products.models import Part
from products.queries.flows import HELD, OUT_THEN, Handed, in_use_of
from tests.factories.fixings import clip_design, stool_design
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import MACHINE_FOR, DesignFactory, MachineFactory
from tests.kept import kept
from workshop.actions.charges import Portion, load_run
from workshop.actions.runs import RunPlan, close_run, open_run
from workshop.actions.yields import Outcome, yield_from_run

pytestmark = pytest.mark.django_db


def at(month: int, day: int) -> datetime:
    return datetime(2026, month, day, 10, tzinfo=UTC)


@pytest.fixture
@kept
def parts(lead):
    """Two parts of 2 kg and 3 kg; the first out from February to April, the second from March on."""
    _bin, lot = make_full_bin(lead, act=make_act(lead, happened_at=at(1, 5)))
    first, second = (make_part_at(lead, lot, kg, at(1, 10)) for kg in (2, 3))
    hand_over_part(part=first, act=make_act(lead, happened_at=at(2, 3)))
    hand_over_part(part=second, act=make_act(lead, happened_at=at(3, 3)))
    take_back_part(part=first, act=make_act(lead, happened_at=at(4, 3)))
    return first, second


def make_part_at(by, lot, kg: int, moment, design=None):
    """A part made at a moment."""
    design = design or DesignFactory()
    machine = MachineFactory(kind=MACHINE_FOR[design.made_by])
    plan = RunPlan(operation=design.made_by, machine=machine, design=design)
    run = open_run(plan=plan, act=make_act(by, happened_at=moment))
    mass = Mass(kg * KG)
    load_run(run=run, portion=Portion(lot, mass, None), act=make_act(by, happened_at=moment))
    outcome, act = Outcome("part", mass, 1, None), make_act(by, happened_at=moment)
    yield_from_run(run=run, outcome=outcome, act=act, is_confirmed=True)
    close_run(run=run, act=make_act(by, happened_at=moment))
    return Part.objects.latest("pk")


def sums(period: Period) -> dict:
    return {name: (each.mass_mg // KG, each.parts) for name, each in in_use_of(period).sums.items()}


NONE = (0, 0)


@pytest.mark.parametrize(
    ("month", "opening", "out", "back", "closing"),
    [
        (1, NONE, NONE, NONE, NONE),
        (2, NONE, (2, 1), NONE, (2, 1)),
        (3, (2, 1), (3, 1), NONE, (5, 2)),
        (4, (5, 2), NONE, (2, 1), (3, 1)),
        (5, (3, 1), NONE, NONE, (3, 1)),
    ],
)
def test_each_month_says_what_was_out_went_out_and_came_back(  # noqa: PLR0913
    parts, month, opening, out, back, closing
):
    found = sums(month_of(date(2026, month, 1)))
    assert found == {"opening": opening, "out": out, "back": back, "closing": closing}
    assert in_use_of(month_of(date(2026, month, 1))).changed_mg == 0


def test_a_year_says_it_month_by_month(parts):
    steps = in_use_of(year_of(date(2026, 1, 1))).by_step(12)
    assert [(out.parts, back.parts) for out, back in steps[:5]] == [
        (0, 0),
        (1, 0),
        (1, 0),
        (0, 1),
        (0, 0),
    ]


def test_what_a_part_lost_while_it_was_out_is_told_apart(parts, lead):
    lot = parts[1].lot
    lot.refresh_from_db()
    act = make_act(lead, "broke off", happened_at=at(5, 3))
    post(
        act=act,
        kind="dispose",
        lines=[Line(lot, None, Mass(KG), "disposed")],
        request={},
        reference="",
    )
    assert in_use_of(month_of(date(2026, 5, 1))).changed_mg == -KG


def test_a_corrected_part_was_handed_over_with_its_corrected_mass(parts, lead):
    mend(lead, make_fix(parts[1].made_in, 2.5), loss="typed wrong")
    found = in_use_of(month_of(date(2026, 3, 1)))
    assert found.sums["out"] == Handed(2_500_000, 1)
    assert found.changed_mg == 0


def test_one_material_leaves_the_others_out(parts):
    found = in_use_of(year_of(date(2026, 1, 1)))
    (material,) = {key[1] for key in found.out}
    assert found.of(material).sums == found.of(None).sums
    assert found.of((None, 1)).sums["out"] == Handed()


def test_it_asks_four_times(parts, django_assert_num_queries):
    with django_assert_num_queries(4):
        in_use_of(year_of(date(2026, 1, 1)))


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_the_transfers_of_a_part_come_off_its_lot(parts):
    statement = HELD.format(step="0", which=OUT_THEN, until="< %s")
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {statement}", [moment_of(date(2026, 3, 1))] * 5)
        plan = [str(row[-1]) for row in cursor.fetchall()]
    assert {step for step in plan if step.startswith("SCAN")} == {"SCAN h"}
    assert any("products_fixing_holder_id" in step for step in plan)
    assert any("transfer_back" in step for step in plan)
    assert any("transfer_forward" in step for step in plan)


def test_days_before_anything_have_nothing_in_use():
    day = date(2020, 1, 1)
    assert sums(Period(day, day + timedelta(days=1))) == dict.fromkeys(
        ("opening", "out", "back", "closing"), NONE
    )


@pytest.fixture
@kept
def floor_parts(lead):
    """Two stools of 2 kg and 3 kg, and four clips of 1 kg, all made in January and loose."""
    _bin, lot = make_full_bin(
        lead,
        net_mg=20 * KG,
        bin_fields={"capacity_mg": 100 * KG},
        act=make_act(lead, happened_at=at(1, 5)),
    )
    clip = clip_design()
    stool = stool_design(lead, clip)
    stools = [make_part_at(lead, lot, kg, at(1, 10), stool) for kg in (2, 3)]
    return stools, [make_part_at(lead, lot, 1, at(1, 10), clip) for _number in range(4)]


def then(by, month: int, day: int):
    return make_act(by, happened_at=at(month, day))


def test_what_is_in_a_product_is_in_use_with_it_and_what_was_swapped_out_is_not(lead, floor_parts):
    (stool, _other), (first, second, new, _loose) = floor_parts
    for clip in (first, second):
        put_in(holder=stool, part=clip, act=then(lead, 1, 20))
    hand_over_part(part=stool, act=then(lead, 2, 3))
    assert sums(month_of(date(2026, 2, 1))) == {
        "opening": NONE,
        "out": (4, 3),
        "back": NONE,
        "closing": (4, 3),
    }
    take_back_part(part=stool, act=then(lead, 3, 3))
    swap_part(part=first, new=new, act=then(lead, 3, 4))
    take_out(part=second, act=then(lead, 3, 5))
    hand_over_part(part=stool, act=then(lead, 4, 3))
    assert [sums(month_of(date(2026, month, 1)))["closing"] for month in (2, 3, 4)] == [
        (4, 3),
        NONE,
        (3, 2),
    ]
    assert in_use_of(year_of(date(2026, 1, 1))).changed_mg == 0


def test_what_is_in_what_is_in_a_product_counts_too(lead, floor_parts):
    (stool, _other), (clip, *_rest) = floor_parts
    bench_design = DesignFactory(name="Bench", made_by="inject", form="part")
    set_assembly(
        design=bench_design, items=[ItemPlan(1, stool.design)], joints=[], act=make_act(lead)
    )
    lot = make_full_bin(lead, act=then(lead, 1, 5))[1]
    bench = make_part_at(lead, lot, 5, at(1, 10), bench_design)
    put_in(holder=stool, part=clip, act=then(lead, 1, 20))
    put_in(holder=bench, part=stool, act=then(lead, 1, 21))
    hand_over_part(part=bench, act=then(lead, 2, 3))
    assert sums(month_of(date(2026, 2, 1)))["closing"] == (8, 3)


def test_what_was_taken_out_earlier_than_it_was_typed_left_then(lead, floor_parts):
    """The product was out from February to April; that a clip broke off in March is typed in May."""
    (stool, _other), (clip, *_rest) = floor_parts
    put_in(holder=stool, part=clip, act=then(lead, 1, 20))
    hand_over_part(part=stool, act=then(lead, 2, 3))
    take_back_part(part=stool, act=then(lead, 4, 3))
    take_out(part=clip, act=then(lead, 3, 10))
    march = sums(month_of(date(2026, 3, 1)))
    assert (march["opening"], march["back"], march["closing"]) == ((3, 2), (1, 1), (2, 1))


def test_a_part_that_is_swapped_at_the_moment_of_return_is_counted_once(lead, floor_parts):
    (stool, _other), (clip, new, *_rest) = floor_parts
    put_in(holder=stool, part=clip, act=then(lead, 2, 3))
    hand_over_part(part=stool, act=then(lead, 2, 3))
    take_back_part(part=stool, act=then(lead, 2, 9))
    swap_part(part=clip, new=new, act=then(lead, 2, 9))
    february = sums(month_of(date(2026, 2, 1)))
    assert (february["out"], february["back"], february["closing"]) == ((3, 2), (3, 2), NONE)


class Replay:
    """A naive bookkeeper: it walks through what was done, day by day, and looks who is out."""

    def __init__(self, parts):
        self.kg = {part: part.lot.in_mg // KG for part in parts}
        self.within, self.handed = {}, set()
        self.out, self.back, self.closing = {}, {}, {}

    def away(self) -> set:
        return {part for part in self.kg if self.root(part) in self.handed}

    def root(self, part):
        return self.root(self.within[part]) if part in self.within else part

    def weighed(self, parts) -> tuple[int, int]:
        return sum(self.kg[part] for part in parts), len(parts)

    def note(self, month: int, before: set) -> None:
        after = self.away()
        for sums_of, moved in ((self.out, after - before), (self.back, before - after)):
            mass, parts = sums_of.get(month, NONE)
            more_mass, more = self.weighed(moved)
            sums_of[month] = (mass + more_mass, parts + more)
        self.closing[month] = self.weighed(after)


@pytest.mark.parametrize("seed", range(3))
def test_months_say_what_a_naive_replay_of_all_that_was_done_says(lead, floor_parts, seed):
    stools, clips = floor_parts
    replay, chance = Replay([*stools, *clips]), Random(seed)  # noqa: S311 (no secret)
    for number in range(60):
        month, day = 2 + number // 10, 1 + 2 * (number % 10)
        before, act = replay.away(), then(lead, month, day)
        do_something(chance, replay, act, stools, clips)
        replay.note(month, before)
    for month in range(2, 8):
        found = sums(month_of(date(2026, month, 1)))
        assert found["opening"] == replay.closing.get(month - 1, NONE)
        assert found["out"] == replay.out[month]
        assert found["back"] == replay.back[month]
        assert found["closing"] == replay.closing[month]


def do_something(chance, replay, act, stools, clips) -> None:
    """Do one thing at random; what the book refuses is not done in the replay either."""
    verb, stool, clip = chance.randrange(4), chance.choice(stools), chance.choice(clips)
    try:
        if verb == 0:
            hand_over_part(part=stool, act=act)
            replay.handed.add(stool)
        elif verb == 1:
            take_back_part(part=stool, act=act)
            replay.handed.discard(stool)
        elif verb == 2:  # noqa: PLR2004
            put_in(holder=stool, part=clip, act=act)
            replay.within[clip] = stool
        else:
            take_out(part=clip, act=act)
            replay.within.pop(clip)
    except ValidationError:
        return
