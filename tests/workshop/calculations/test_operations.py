"""What each operation takes and gives; common practice of the trade."""

import pytest

from workshop.calculations.operations import (
    HEATED,
    KINDS_OF_TOOLING,
    RETAINING,
    RULES,
    form_of_yield,
    is_melted,
)


@pytest.mark.parametrize(
    ("operation", "melts"),
    [
        ("granulate", False),
        ("blend", False),
        ("press", True),
        ("inject", True),
        ("extrude", True),
        ("cut", False),
        ("form", False),
    ],
)
def test_pressing_injecting_and_extruding_melt(operation, melts):
    assert (
        is_melted(operation, "part" if "part" in RULES[operation].yields else "material") == melts
    )


@pytest.mark.parametrize("kind", ["leftover", "dust"])
def test_what_was_not_worked_was_not_melted(kind):
    assert not is_melted("press", kind)


@pytest.mark.parametrize(
    ("operation", "kind", "form"),
    [
        ("granulate", "material", "flake"),
        ("extrude", "material", "pellet"),
        ("blend", "material", "whole"),
        ("press", "reject", "offcut"),
        ("press", "leftover", "whole"),
        ("inject", "purging", "purging"),
        ("cut", "dust", "dust"),
    ],
)
def test_a_yield_goes_into_a_bin_in_the_form_it_has_become(operation, kind, form):
    assert form_of_yield(operation, kind, "whole") == form


def test_every_machine_that_melts_keeps_material_inside():
    melting = {kind for rule in RULES.values() if rule.melts for kind in rule.machines}
    assert melting <= RETAINING & HEATED


def test_every_operation_takes_something_and_gives_something():
    assert all(rule.yields and (rule.takes_bins or rule.takes_parts) for rule in RULES.values())


def test_each_operation_with_tooling_is_one_that_there_is():
    assert set(KINDS_OF_TOOLING) == set(RULES) - {"blend"}
