from dataclasses import replace

import pytest

from products.calculations.label_texts import NO_BREAK, Share, missing_characters, strip_text
from products.calculations.qr_codes import AddressError
from tests.factories.labels import LOT, PART, SHEET, SITE, make_label


def test_the_code_is_printed_in_groups_of_four():
    assert PART.groups == "30QJ 6P1H 8RNC"


def test_the_address_to_type_has_no_scheme():
    assert PART.typed_address == "shop.example/q/30QJ6P1H8RNC"


@pytest.mark.parametrize(
    "address", [f"{SITE}/q/7QK2M9X4VB3S", f"{SITE}/7QK2M9X4VB3T", f"{SITE}/q/7QK2M9X4VB3T?x=1", ""]
)
def test_refuses_an_address_that_does_not_end_in_the_printed_code(address):
    with pytest.raises(AddressError) as refusal:
        replace(make_label(), address=address)
    assert refusal.value.code == "label-address"


@pytest.mark.parametrize("level", ["L", "M", "q", ""])
def test_refuses_a_level_too_weak_for_a_workshop(level):
    with pytest.raises(AddressError) as refusal:
        make_label(level=level)
    assert refusal.value.code == "label-level"


@pytest.mark.parametrize(
    ("share", "written"),
    [(1, "100"), (0.999, "> 99"), (0.994, "99"), (0.5, "50"), (0.006, "1"), (0.001, "< 1")],
)
def test_no_rounding_claims_none_or_all_of_it(share, written):
    assert strip_text((Share("red", share),)) == f"red {written} %".replace(" ", NO_BREAK)


@pytest.mark.parametrize(
    ("share", "written"),
    [
        (0.7, "70"),
        (0.6999, "69"),
        (0.1 + 0.2 + 0.4, "70"),  # 0.7000000000000001 in floats
        (0.9 - 0.2, "70"),  # 0.7 but for the last bit
        (0.009, "< 1"),
        (0.999, "> 99"),
        (1 - 1e-16, "100"),
    ],
)
def test_a_share_of_recycled_material_is_rounded_down(share, written):
    """A label that a stranger reads claims as the passport does, which rounds down (ISO 14021)."""
    said = strip_text((Share("recycled", share, is_claim=True),))
    assert said == f"recycled {written} %".replace(" ", NO_BREAK)


def test_a_share_of_nothing_is_not_said():
    assert strip_text((Share("red", 0), Share("blue", 1))) == f"blue{NO_BREAK}100{NO_BREAK}%"


@pytest.mark.parametrize("label", [PART, SHEET, LOT])
def test_the_faces_hold_latin_greek_and_cyrillic(label):
    assert missing_characters(label) == ""


def test_names_the_characters_that_would_print_as_boxes():
    assert missing_characters(make_label(title="板", strip=(Share("藍", 1),))) == "板藍"
