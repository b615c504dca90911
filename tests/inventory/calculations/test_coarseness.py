import pytest

from inventory.calculations.coarseness import COARSEST_FIRST, coarsest, purpose


def test_a_mixture_is_as_coarse_as_its_coarsest_part():
    """Common practice: the largest piece decides what the granulator has to take."""
    assert coarsest(["dust", "offcut", "pellet"]) == "offcut"


def test_whole_items_are_coarser_than_anything_cut():
    assert coarsest(["flake", "whole", "sheet"]) == "whole"


def test_refuses_a_form_that_it_does_not_know():
    with pytest.raises(ValueError, match="not in tuple"):
        coarsest(["dust", "liquid"])


def test_every_form_serves_one_purpose():
    by_purpose = {form: purpose(form) for form in COARSEST_FIRST}
    ready = [form for form, wanted in by_purpose.items() if wanted == "ready"]
    assert ready == ["flake", "pellet"]
    assert [form for form, wanted in by_purpose.items() if wanted == "dust"] == ["dust"]
