"""Chain-of-custody words, against the definitions of ISO 22095:2020 as public pages restate them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.custody import STRONGEST_FIRST, Kept, custody_word, weakest

PP, PE, NONE = ("post-consumer", "PP"), ("post-consumer", "PE-HD"), None
origins = st.lists(
    st.builds(Kept, st.sampled_from(["mill", "shop", None]), st.sampled_from([PP, PE, NONE])),
    min_size=1,
    max_size=4,
)


@pytest.mark.parametrize(
    ("origins", "word"),
    [
        # A single source, its characteristic kept throughout.
        ([Kept("mill", PP)], "identity-preserved"),
        ([Kept("mill", PP), Kept("mill", PP)], "identity-preserved"),
        # Several sources with the same characteristic, nothing else added.
        ([Kept("mill", PP), Kept("shop", PP)], "segregated"),
        ([Kept(None, PP)], "segregated"),
        # Mixed with other material in a recorded share.
        ([Kept("mill", PP), Kept("mill", PE)], "controlled-blending"),
        ([Kept("mill", PP), Kept("shop", ("virgin", "PP"))], "controlled-blending"),
        ([Kept("mill", PP), Kept(None, NONE)], "controlled-blending"),
        # The standard has no word for what nobody knows.
        ([Kept("mill", NONE)], ""),
        ([], ""),
    ],
)
def test_the_word_follows_the_definition(origins, word):
    assert custody_word(origins) == word


@given(origins, origins)
def test_a_mixture_is_no_stronger_than_the_weakest_of_its_inputs(first, second):
    inputs = weakest([custody_word(first), custody_word(second)])
    mixed = custody_word(first + second)
    assert weakest([mixed, inputs]) == mixed


@given(origins)
def test_a_loop_of_own_offcuts_changes_nothing(origins):
    assert custody_word(origins + origins) == custody_word(origins)


@given(origins)
def test_no_model_is_named_that_separates_record_and_material(origins):
    assert custody_word(origins) in {*STRONGEST_FIRST, ""}
