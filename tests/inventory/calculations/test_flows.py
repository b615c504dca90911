"""Balances of accounts, held against adding up every move of every account one by one."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.flows import (
    FOUND,
    MACHINE,
    MIXED,
    PART,
    PLACES,
    STOCK,
    Account,
    Balance,
    Move,
    balances,
    carried_on,
    crossing,
    inside,
    led_back,
)

accounts = st.builds(
    Account, st.sampled_from(PLACES), st.sampled_from([None, 1, 2]), st.sampled_from([1, 2])
)
roles = st.sampled_from(["received", "loaded", "part", "offcut", "moved", "loss", "count", "dust"])
moves = st.lists(
    st.builds(
        Move,
        st.integers(0, 2),
        roles,
        st.none() | accounts,
        st.none() | accounts,
        st.integers(1, 10**12),
    ).filter(lambda move: move.source != move.target)
)
openings = st.dictionaries(accounts, st.integers(1, 10**12))
KEYS = {
    "account": lambda account: account,
    "place": lambda account: account.place,
    "material": lambda account: account.material,
    "workshop": lambda _account: "",
}


def naive_closing(opening, moves, key_of):
    """Take every move out of its giver and put it into its taker, and group at the very end."""
    held = Counter(opening)
    for move in moves:
        held[move.source] -= move.mass_mg
        held[move.target] += move.mass_mg
    sums = Counter()
    for account, mass_mg in held.items():
        if account is not None:
            sums[key_of(account)] += mass_mg
    return {key: mass_mg for key, mass_mg in sums.items() if mass_mg}


@given(openings, moves, st.sampled_from(sorted(KEYS)))
def test_every_group_balances_to_the_milligram(opening, moves, name):
    found = balances(moves, opening, KEYS[name])
    closing = {key: each.closing_mg for key, each in found.items() if each.closing_mg}
    assert closing == naive_closing(opening, moves, KEYS[name])


@given(openings, moves)
def test_the_workshop_takes_and_gives_only_at_its_door(opening, moves):
    whole = balances(moves, opening, KEYS["workshop"]).get("", Balance())
    assert whole.in_mg == sum(move.mass_mg for move in moves if move.source is None)
    assert whole.out_mg == sum(move.mass_mg for move in moves if move.target is None)


@given(openings, moves)
def test_going_back_undoes_going_on(opening, moves):
    assert led_back(carried_on(opening, moves), moves) == opening


@given(moves)
def test_what_lies_between_places_is_counted_once(moves):
    between = [
        move
        for move in moves
        if move.source
        and move.target
        and move.source.place != move.target.place
        and move.role in {"loaded", "part", "offcut", "dust"}
    ]
    for key_of in KEYS.values():
        found = inside(moves, key_of)
        assert sum(sum(lines.values()) for lines in found.values()) == sum(
            move.mass_mg for move in between
        )


def test_mixing_in_a_bin_leads_from_a_material_to_another():
    blue, mixed = Account(STOCK, 1, 1), Account(STOCK, 1, 2)
    found = balances([Move(0, "moved", blue, mixed, 7)], {blue: 7}, KEYS["account"])
    assert (found[blue].outs, found[mixed].ins) == ({MIXED: 7}, {MIXED: 7})


def test_between_places_a_move_keeps_its_name_unless_places_are_taken_together():
    move = Move(0, "loaded", Account(STOCK, 1, 1), Account(MACHINE, 1, 2), 7)
    assert crossing(move, is_by_place=True) == "loaded"
    assert crossing(move, is_by_place=False) == MIXED


def test_a_loaded_part_is_a_worn_one():
    move = Move(0, "loaded", Account(PART, 1, 1), Account(MACHINE, 1, 1), 7)
    assert inside([move], KEYS["workshop"]) == {"": {"worn": 7}}


def test_a_balance_in_which_nothing_was_is_empty():
    assert Balance().is_empty
    assert not Balance(0, {"count": 1}, {"count": 1}).is_empty
    assert FOUND in PLACES
