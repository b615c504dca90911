"""Fillers and reinforcements. Types and forms: ISO 1043-2:2011, clause 2, read in an excerpt."""

import pytest

from products.calculations.fillers import FORMS, TYPES, Filler, filler_sentence, split_letters


@pytest.mark.parametrize(
    ("letters", "kind", "form", "words"),
    [
        ("GF", "G", "F", "glass fibre"),  # ISO 1043-2
        ("GCM", "G", "CM", "glass chopped-strand mat"),  # ISO 1043-2
        ("MD", "M", "D", "mineral powder"),  # ISO 1043-2
        ("MED", "ME", "D", "metal powder"),  # ISO 1043-2
        ("CF", "C", "F", "carbon fibre"),  # from memory of the standard
        ("TD", "T", "D", "talc powder"),  # from memory of the standard
        ("WD", "W", "D", "wood powder"),  # from memory of the standard
    ],
)
def test_letters_are_a_type_and_a_form(letters, kind, form, words):
    assert split_letters(letters) == (kind, form)
    assert words in filler_sentence(Filler(kind, form))


@pytest.mark.parametrize("letters", ["", "G", "HD", "GFX", "U", "FR"])
def test_other_letters_are_no_filler(letters):
    assert split_letters(letters) is None


def test_no_letters_can_be_split_in_two_ways():
    together = [kind + form for kind in TYPES for form in FORMS]
    assert len(together) == len(set(together))


def test_a_metal_is_named_by_its_chemical_symbol():
    assert str(Filler("ME", "D", 20, "Al")) == "MED(Al)20"


def test_a_metal_that_is_not_named_is_said_to_be_so():
    assert "which metal is not named" in filler_sentence(Filler("ME", "F", metal="x"))
