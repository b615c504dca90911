"""Traces of random histories with offcuts going round, beside general-purpose means.

Ancestors and descendants come from networkx, shares from a linear system that is solved in
exact fractions, melt passes from every path one by one, and what is ahead from the
same system read the other way.
"""

from collections import Counter, defaultdict
from fractions import Fraction

import networkx as nx
import pytest

from inventory.models import Lot, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.traces import make_up_of, origins_of, uses_of
from tests.factories.inventory import KG, BinFactory, make_delivery, make_full_bin
from tests.factories.loops import Loop
from tests.factories.workshop import load, make_part, make_run, weigh_out
from tests.kept import kept

pytestmark = pytest.mark.django_db


class Graph:
    """The standing transfers, read row by row and left to networkx."""

    def __init__(self):
        undone = set(Transfer.objects.exclude(reverses=None).values_list("reverses", flat=True))
        rows = Transfer.objects.filter(reverses=None).exclude(pk__in=undone)
        fields = ("source_id", "target_id", "mass_mg", "melted", "role")
        self.edges = list(rows.values_list(*fields))
        self.taken, self.given = Counter(), Counter()
        for source, target, mg, _melted, _role in self.edges:
            self.taken[target] += mg
            self.given[source] += mg
        inner = [(source, target) for source, target, *_ in self.edges if source and target]
        self.lots = nx.MultiDiGraph(inner)
        self.lots.add_nodes_from(Lot.objects.values_list("pk", flat=True))
        self.origins = sorted({target for source, target, *_ in self.edges if source is None})

    def solved(self) -> dict[int, dict[int, Fraction]]:
        """Return the share of each origin in each lot: share = sum over takings of mass / in * share.

        The whole system, loops and all, by Gaussian elimination in fractions.
        """
        lots = sorted(lot for lot in self.lots if self.taken[lot])
        place = {lot: number for number, lot in enumerate(lots)}
        rows = [defaultdict(Fraction, {place[lot]: Fraction(1)}) for lot in lots]
        known = [defaultdict(Fraction) for _lot in lots]
        for source, target, mg, *_ in self.edges:
            if target is not None and source is None:
                known[place[target]][target] += Fraction(mg, self.taken[target])
            elif target is not None:
                rows[place[target]][place[source]] -= Fraction(mg, self.taken[target])
        eliminate(rows, known)
        return {lot: {o: x for o, x in known[place[lot]].items() if x} for lot in lots}

    def passes(self, lot, count=0, share=Fraction(1)):
        """Yield (passes, share) of every path back from a lot to the outside."""
        for source, target, mg, melted, _role in self.edges:
            if target == lot and source is None:
                yield count, share * mg / self.taken[lot]
            elif target == lot:
                yield from self.passes(source, count + melted, share * mg / self.taken[lot])


def eliminate(rows, known) -> None:
    """Solve the system in place (Gauss-Jordan), sparse rows, exact fractions."""
    for pivot, (row, side) in enumerate(zip(rows, known, strict=True)):
        add(row, row, 1 / row[pivot] - 1, onto=(side, side))
        for other, others in enumerate(rows):
            factor = others.get(pivot, 0)
            if other != pivot and factor:
                add(others, row, -factor, onto=(known[other], side))


def add(row, times, factor, onto) -> None:
    """Add a multiple of one row to another, on both sides of the equals sign."""
    for target, source in ((row, times), onto):
        for key, value in list(source.items()):
            target[key] += factor * value


@pytest.fixture
def looped(operator, request):
    return make_loop(operator, getattr(request, "param", 1))


@kept
def make_loop(operator, seed: int):
    loop = Loop(operator, seed)
    loop.go_round(4)
    return loop


def filled_lots():
    return list(Lot.objects.taken())


def test_origins_are_the_ancestors_that_came_from_outside(looped):
    graph = Graph()
    outside = set(graph.origins)
    found = {lot.pk: {row.lot.pk for row in origins_of(lot)} for lot in filled_lots()}
    assert found == {pk: (nx.ancestors(graph.lots, pk) | {pk}) & outside for pk in found}


@pytest.mark.parametrize("looped", [1, 2, 3], indirect=True)
def test_shares_solve_the_linear_system(looped):
    graph = Graph()
    solved = graph.solved()
    for lot in filled_lots():
        shares = {row.lot.pk: row.share for row in origins_of(lot)}
        assert shares == pytest.approx({o: float(x) for o, x in solved[lot.pk].items()}, abs=1e-9)
        assert sum(shares.values()) == pytest.approx(1, abs=1e-9)


def test_origin_masses_conserve_to_the_milligram(looped):
    sums = {lot.pk: sum(row.mass_mg for row in origins_of(lot)) for lot in filled_lots()}
    assert sums == {lot.pk: lot.in_mg for lot in filled_lots()}


def test_uses_are_the_descendants_that_hold_some_of_it_and_the_ways_out(looped):
    graph = Graph()
    held = {pk for pk in graph.lots if graph.taken[pk] > graph.given[pk]}
    for lot in filled_lots():
        ahead = nx.descendants(graph.lots, lot.pk) | {lot.pk}
        fates = {
            role for source, target, _, _, role in graph.edges if source in ahead and not target
        }
        rows = uses_of(lot)
        assert {row.lot.pk for row in rows if row.lot} == ahead & held
        assert {row.fate for row in rows if not row.lot} == fates


def test_uses_are_the_same_system_read_forward(looped):
    """What a lot holds of an origin is what the origin has in that lot."""
    solved = Graph().solved()
    for origin in filter(lambda lot: lot.kind == "delivery", filled_lots()):
        rows = {row.lot.pk: row.share for row in uses_of(origin) if row.lot}
        assert rows == pytest.approx(
            {
                lot.pk: float(solved[lot.pk][origin.pk] * lot.held_mg / origin.in_mg)
                for lot in Lot.objects.open()
                if solved[lot.pk].get(origin.pk)
            },
            abs=1e-9,
        )


def test_use_masses_conserve_to_the_milligram(looped):
    rows = {lot.pk: uses_of(lot) for lot in filled_lots()}
    assert {pk: sum(row.mass_mg for row in found) for pk, found in rows.items()} == {
        lot.pk: lot.in_mg for lot in filled_lots()
    }
    shares = [sum(row.share for row in found) for found in rows.values()]
    assert shares == pytest.approx([1] * len(rows), abs=1e-9)


@pytest.mark.parametrize("looped", [2, 3], indirect=True)
def test_melt_passes_are_those_of_every_path_one_by_one(looped):
    graph = Graph()
    for lot in Lot.objects.open():
        counted = defaultdict(Fraction)
        for count, share in graph.passes(lot.pk):
            counted[count] += share
        shown = {int(each.label): each.share for each in make_up_of(lot).by_passes}
        assert shown == pytest.approx({n: float(x) for n, x in counted.items()}, abs=1e-9)


@pytest.mark.parametrize("looped", [4], indirect=True)
def test_the_loop_really_goes_round(looped):
    """Some material was melted three times, so the tests above mean something."""
    lots = Lot.objects.open()
    most = max(int(each.label) for lot in lots for each in make_up_of(lot).by_passes)
    assert most >= 3


def test_unmelted_work_adds_no_pass(operator):
    bin, run = BinFactory(), make_run(operator, "granulate")
    load(run, make_full_bin(operator)[1], operator, KG)
    weigh_out(run, operator, "material", KG, bin=bin)
    assert [each.label for each in make_up_of(open_lot_in(bin)).by_passes] == ["0"]


def test_each_melting_adds_a_pass(operator):
    part = make_part(operator, make_full_bin(operator)[1], KG)
    again = make_part(operator, part.lot, KG)
    assert [each.label for each in make_up_of(again.lot).by_passes] == ["2"]


def test_a_delivery_is_its_own_origin_and_its_own_use(operator):
    lot = make_delivery(operator).lot
    assert [(row.lot, row.share) for row in origins_of(lot)] == [(lot, 1.0)]
    assert [(row.lot, row.share) for row in uses_of(lot)] == [(lot, 1.0)]


def test_a_later_delivery_is_never_in_an_earlier_part(operator):
    bin, lot = make_full_bin(operator)
    part = make_part(operator, lot, KG)
    later = make_delivery(operator, bin=bin).lot
    assert later not in {row.lot for row in origins_of(part.lot)}
    assert later in {row.lot for row in origins_of(open_lot_in(bin))}


def test_a_make_up_is_the_sum_of_the_origins_to_the_milligram(operator):
    """Of 10 mg by 1.3, 1.3 and 7.4 parts, rounding the classes alone would give 3 and 7, the origins 2 and 8."""
    run = make_run(operator)
    for grams, origin_class in ((1300, "post-consumer"), (1300, "post-consumer"), (7400, "virgin")):
        load(run, make_delivery(operator, origin_class=origin_class).lot, operator, grams * 1000)
    weigh_out(run, operator, "part", 10, pieces=1)
    lot = Lot.objects.get(kind="part")
    sums = Counter()
    for row in origins_of(lot):
        sums[row.lot.get_origin_class_display()] += row.mass_mg
    assert {each.label: each.mass_mg for each in make_up_of(lot).by_origin} == dict(sums)
    assert sorted(sums.values()) == [2, 8]
