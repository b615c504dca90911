"""Which bins to draw: against trying everything, and against another solver."""

from fractions import Fraction
from itertools import product

import pulp
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.calculations.draws import (
    Limit,
    Offers,
    Stock,
    Wanted,
    choose_draws,
    fewest_bins,
    obstacles,
    reachable_share,
)

KG = 1_000_000
MOST = 50  # draws by hypothesis: each solves a dozen small programmes


def stocks_of(rows):
    return [
        Stock(str(place), kg * KG, {"passes": passes / 100, "recycled": recycled / 100})
        for place, (kg, passes, recycled) in enumerate(rows)
    ]


ROWS = st.lists(
    st.tuples(st.integers(1, 6), st.sampled_from([0, 10, 40, 80]), st.sampled_from([0, 50, 100])),
    min_size=1,
    max_size=5,
)
PASS_LIMITS = st.none() | st.sampled_from([0, 15, 30, 60])
RECYCLED = st.none() | st.sampled_from([25, 50, 90])


def least_sum(held, shares, wanted):
    """Least of sum(share x mass) with the mass given and 0 <= mass <= held: the smallest shares first."""
    left, total = Fraction(wanted), Fraction(0)
    for share, most in sorted(zip(shares, held, strict=True)):
        taken = min(Fraction(most), left)
        left, total = left - taken, total + share * taken
    return total if left == 0 else None


def can_be(rows, answers, wanted, bound):
    """Whether closed, opened and emptied bins (0, 1, 2) can give the mass within one limit, in fractions."""
    emptied = [row for row, answer in zip(rows, answers, strict=True) if answer == 2]
    opened = [row for row, answer in zip(rows, answers, strict=True) if answer == 1]
    rest = wanted - sum(kg for kg, *_shares in emptied)
    if rest < 0 or (opened and rest == 0) or (not opened and rest):
        return False
    sure = sum(kg * Fraction(passes) for kg, passes, _recycled in emptied)
    least = least_sum([row[0] for row in opened], [Fraction(row[1]) for row in opened], rest)
    return least is not None and (bound is None or sure + least <= bound * wanted)


def best_by_trying(rows, wanted, bound):
    """The best of all 3^n ways, by the wishes in their order; None when there is none."""
    ways = [
        answers
        for answers in product((0, 1, 2), repeat=len(rows))
        if can_be(rows, answers, wanted, bound)
    ]

    def wishes(answers):
        kept = sum(row[0] for row, answer in zip(rows, answers, strict=True) if answer)
        opened = [answer > 0 for answer in answers]
        return [answer != 2 for answer in answers], sum(opened), kept, [not each for each in opened]

    return min(ways, key=wishes, default=None)


def answers_of(draws, many):
    found = {draw.key: 2 if draw.is_emptied else 1 for draw in draws}
    return tuple(found.get(str(place), 0) for place in range(many))


@given(ROWS, st.integers(1, 18), PASS_LIMITS)
@settings(max_examples=MOST)
def test_no_way_of_drawing_is_better_than_the_one_chosen(rows, wanted, bound):
    limits = () if bound is None else (Limit("passes", bound / 100),)
    draws = choose_draws(stocks_of(rows), Wanted(wanted * KG, limits))
    best = best_by_trying(rows, wanted, bound)
    assert (draws is None) == (best is None)
    if draws:
        assert answers_of(draws, len(rows)) == best


def by_another_solver(rows, wanted, limits, level):
    """The best value of a wish by CBC through pulp: bins emptied, bins opened, or kg left in them."""
    sense = pulp.LpMaximize if level == "emptied" else pulp.LpMinimize
    model = pulp.LpProblem("draws", sense)
    every = range(len(rows))
    mass = [pulp.LpVariable(f"m{i}", 0, rows[i][0]) for i in every]
    opened = [pulp.LpVariable(f"o{i}", cat="Binary") for i in every]
    emptied = [pulp.LpVariable(f"e{i}", cat="Binary") for i in every]
    weights = [2 ** (len(rows) - i) for i in every]
    age = pulp.lpSum(weights[i] * emptied[i] for i in every)
    model += age if level == "emptied" else pulp.lpSum(opened)
    model += pulp.lpSum(mass) == wanted
    for i in every:
        model += mass[i] <= rows[i][0] * opened[i]
        model += mass[i] >= rows[i][0] * emptied[i]
    passes, recycled, fixed = limits
    if passes is not None:
        model += pulp.lpSum((rows[i][1] - passes) * mass[i] for i in every) <= 0
    if recycled is not None:
        model += pulp.lpSum((rows[i][2] - recycled) * mass[i] for i in every) >= 0
    if fixed is not None:
        model += age == fixed
    status = model.solve(pulp.PULP_CBC_CMD(msg=False, threads=1))
    found = None
    if pulp.LpStatus[status] == "Optimal":
        found = round(pulp.value(model.objective))
    return found


@given(ROWS, st.integers(1, 15), PASS_LIMITS, RECYCLED)
@settings(max_examples=20)
def test_another_solver_finds_the_same_best_with_two_limits(rows, wanted, passes, recycled):
    limits = [] if passes is None else [Limit("passes", passes / 100)]
    limits += [] if recycled is None else [Limit("recycled", recycled / 100, is_least=True)]
    draws = choose_draws(stocks_of(rows), Wanted(wanted * KG, tuple(limits)))
    best = by_another_solver(rows, wanted, (passes, recycled, None), "emptied")
    assert (draws is None) == (best is None)
    if draws:
        many = len(rows)
        answers = answers_of(draws, many)
        assert sum(2 ** (many - i) for i, answer in enumerate(answers) if answer == 2) == best
        fewest = by_another_solver(rows, wanted, (passes, recycled, best), "opened")
        assert len(draws) == fewest


@given(ROWS, st.integers(1, 15), PASS_LIMITS, RECYCLED)
@settings(max_examples=MOST)
def test_draws_sum_to_the_milligram_and_keep_every_limit(rows, wanted, passes, recycled):
    stocks = stocks_of(rows)
    limits = [] if passes is None else [Limit("passes", passes / 100)]
    limits += [] if recycled is None else [Limit("recycled", recycled / 100, is_least=True)]
    draws = choose_draws(stocks, Wanted(wanted * KG, tuple(limits)))
    if draws is None:
        return
    by_key = {stock.key: stock for stock in stocks}
    assert sum(draw.mass_mg for draw in draws) == wanted * KG
    assert all(0 < draw.mass_mg <= by_key[draw.key].held_mg for draw in draws)
    for limit in limits:
        mixed = sum(by_key[d.key].shares[limit.name] * d.mass_mg for d in draws) / (wanted * KG)
        beyond = limit.bound - mixed if limit.is_least else mixed - limit.bound
        assert beyond <= 1e-9


def test_the_oldest_bin_is_emptied_before_a_younger_one_that_would_do_alone():
    draws = choose_draws([Stock("old", KG), Stock("new", 9 * KG)], Wanted(3 * KG))
    assert [(draw.key, draw.mass_mg) for draw in draws] == [("old", KG), ("new", 2 * KG)]


def test_one_bin_is_opened_rather_than_two_and_the_one_in_which_less_is_left():
    draws = choose_draws([Stock("large", 30 * KG), Stock("small", 12 * KG)], Wanted(10 * KG))
    assert [(draw.key, draw.left_mg) for draw in draws] == [("small", 2 * KG)]


def test_equal_bins_are_taken_by_age_whatever_they_are_called():
    stocks = [Stock("z", 5 * KG), Stock("a", 5 * KG)]
    assert [draw.key for draw in choose_draws(stocks, Wanted(4 * KG))] == ["z"]


def test_a_limit_on_bins_leaves_old_rests_where_they_are():
    rests = [Stock("a", KG), Stock("b", KG), Stock("c", 9 * KG)]
    assert len(choose_draws(rests, Wanted(5 * KG))) == 3
    draws = choose_draws(rests, Wanted(5 * KG, most_bins=1))
    assert [draw.key for draw in draws] == ["c"]


def test_a_half_and_a_half_reach_exactly_a_half():
    stocks = [Stock("a", 5 * KG, {"recycled": 0.0}), Stock("b", 5 * KG, {"recycled": 1.0})]
    assert choose_draws(stocks, Wanted(10 * KG, (Limit("recycled", 0.5, is_least=True),)))


def test_masses_that_differ_by_a_milligram_are_told_apart():
    stocks = [Stock("a", 5 * KG), Stock("b", 7 * KG)]
    draws = choose_draws(stocks, Wanted(5 * KG + 1))
    assert [draw.mass_mg for draw in draws] == [5 * KG, 1]


@pytest.mark.parametrize(
    "stocks", [[], [Stock("a", 2 * KG)]], ids=["nothing at all", "less than wanted"]
)
def test_too_little_gives_no_draws(stocks):
    assert choose_draws(stocks, Wanted(3 * KG)) is None
    assert reachable_share(stocks, Wanted(3 * KG), Limit("recycled", 1)) is None


def test_what_is_short_is_told_in_milligrams():
    (found,) = obstacles(Offers((Stock("a", 2 * KG),)), Wanted(6_200_000))
    assert (found.code, found.mass_mg) == ("short", 4_200_000)


def test_what_is_on_hold_or_of_another_colour_is_told_when_it_would_help():
    offers = Offers((Stock("a", KG),), (Stock("held", 5 * KG),), (Stock("red", 5 * KG),))
    found = {each.code: each.mass_mg for each in obstacles(offers, Wanted(6 * KG))}
    assert found == {"short": 5 * KG, "on-hold": 5 * KG, "other-colour": 5 * KG}
    found = obstacles(Offers((Stock("a", KG),), (Stock("held", KG),)), Wanted(6 * KG))
    assert [each.code for each in found] == ["short"]


def test_the_share_that_can_be_reached_is_told_for_the_limit_in_the_way():
    # By hand: 1 kg of 1.0 and 1 kg of 0.22 are (1 + 0.22) / 2 = 0.61
    stocks = (Stock("a", KG, {"recycled": 1.0}), Stock("b", 9 * KG, {"recycled": 0.22}))
    limit = Limit("recycled", 0.8, is_least=True)
    (found,) = obstacles(Offers(stocks), Wanted(2 * KG, (limit,)))
    assert (found.code, found.share) == ("recycled", pytest.approx(0.61))


def test_the_least_that_passes_can_be_brought_to_is_told():
    # By hand: all of a, then 1 kg of b: (3 x 0.1 + 1 x 0.9) / 4 = 0.3
    stocks = (Stock("a", 3 * KG, {"passes": 0.1}), Stock("b", 9 * KG, {"passes": 0.9}))
    (found,) = obstacles(Offers(stocks), Wanted(4 * KG, (Limit("passes", 0.2),)))
    assert (found.code, found.share) == ("passes", pytest.approx(0.3))


def test_how_many_bins_it_takes_is_told():
    stocks = tuple(Stock(str(n), KG) for n in range(4))
    assert fewest_bins(stocks, Wanted(3 * KG)) == 3
    (found,) = obstacles(Offers(stocks), Wanted(3 * KG, most_bins=2))
    assert (found.code, found.number) == ("most-bins", 3)


def test_limits_that_only_together_cannot_be_kept_are_told_so():
    shares = ({"recycled": 1.0, "passes": 1.0}, {"recycled": 0.0, "passes": 0.0})
    stocks = tuple(Stock(str(n), 5 * KG, each) for n, each in enumerate(shares))
    limits = (Limit("recycled", 0.6, is_least=True), Limit("passes", 0.4))
    found = obstacles(Offers(stocks), Wanted(4 * KG, limits))
    assert [each.code for each in found] == ["recycled", "passes"]
    shares = ({"recycled": 0.0, "passes": 1.0},)
    stocks = (Stock("0", 5 * KG, shares[0]),)
    limits = (*limits, Limit("other", 0.5, is_least=True))
    assert [e.code for e in obstacles(Offers(stocks), Wanted(KG, limits))] == ["together"]
