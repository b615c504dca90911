"""A passport as linked data."""

import json

import pytest

from products.calculations.passports import changed_figures, linked_data

ADDRESS = "https://shop.example/q/ABCDEFGHJKMN"
CONTENT = {
    "version": 2,
    "code": "ABCDEFGHJKMN",
    "name": "Stool",
    "pieces": 1,
    "mass_mg": 1_842_500,
    "colour": {"name": "blue", "srgb": "#2a68b0"},
    "mark": {"text": ">PE-HD<", "words": [], "notes": []},
    "resin": {"number": 2, "text": "HDPE"},
    "packaging": None,
    "make_up": {
        "origin": [["post-consumer", 700_000], ["virgin", 300_000]],
        "colour": [["blue", 1_000_000, "#2a68b0"]],
        "polymer": [["PE-HD", 1_000_000]],
    },
    "passes": {"mean_tenths": 13, "most": 2, "or_more": False},
    "claim": {
        "sentence": "Contains 70 % post-consumer recycled material.",
        "method": "ISO 14021, recycled content",
        "on": "2026-03-12",
        "post_consumer_permille": 700,
        "pre_consumer_permille": 0,
        "ledger": {"posting": "P-00042", "uuid": "u", "recorded_at": "r"},
    },
    "made": {"by": "The workshop", "place": "Millbrook", "on": "2026-03-10"},
    "run": {"run": "R-0042", "operation": "press", "machine": "press", "settings": "SECRET"},
    "care": "Wipe it.",
    "repair": "",
    "spare_parts": "",
    "taking_apart": "",
    "returns": "",
    "recycling": ["Bring it back."],
    "not_for": ["Toys."],
}


@pytest.fixture
def document():
    return linked_data(CONTENT, address=ADDRESS, image="", live={"Label": "labelled"})


def stated(document):
    return {each["name"]: each["value"] for each in document["additionalProperty"]}


# Terms of schema.org: Product with material, weight, productionDate, manufacturer.
def test_it_is_a_product_of_schema_org(document):
    assert (document["@context"], document["@type"]) == ("https://schema.org", "Product")
    assert document["@id"] == ADDRESS
    assert document["productionDate"] == "2026-03-10"
    assert document["material"] == [">PE-HD<", "PE-HD"]


# Unit codes of UN/CEFACT recommendation 20: GRM is the gram.
def test_its_weight_is_in_grams(document):
    assert document["weight"] == {
        "@type": "QuantitativeValue",
        "value": 1842.5,
        "unitCode": "GRM",
    }


def test_it_says_what_the_page_says(document):
    said = stated(document)
    assert said["Claim"] == CONTENT["claim"]["sentence"]
    assert said["Recycled content, post-consumer, rounded down"] == 70.0
    assert said["Share by origin: post-consumer"] == 70.0
    assert said["Melt passes, mean"] == 1.3
    assert (said["Care"], said["Not suitable for"]) == ("Wipe it.", "Toys.")
    assert said["Label"] == "labelled"


def test_settings_are_not_in_it(document):
    assert "SECRET" not in json.dumps(document)


def test_empty_texts_are_left_out(document):
    assert "Repair" not in stated(document)


def test_it_names_the_maker_and_the_place(document):
    maker = {"@type": "Organization", "name": "The workshop", "location": "Millbrook"}
    assert document["manufacturer"] == maker


def test_a_photo_is_named_where_there_is_one(document):
    pictured = linked_data(CONTENT, address=ADDRESS, image="https://shop.example/p", live={})
    assert pictured["image"] == "https://shop.example/p"
    assert "image" not in document


def test_unknown_plastic_is_said_to_be_unknown():
    make_up = CONTENT["make_up"] | {"polymer": [["", 1_000_000]]}
    blank = {"text": "", "words": [], "notes": []}
    changed = CONTENT | {"make_up": make_up, "mark": blank, "resin": None}
    document = linked_data(changed, address=ADDRESS, image="", live={})
    assert document["material"] == ["unknown"]
    assert stated(document)["Mark, ISO 11469"] == "none"


def test_a_custody_word_is_told_in_the_terms_of_its_standard():
    content = CONTENT | {"custody": "controlled-blending"}
    told = linked_data(content, address=ADDRESS, image="", live={})["additionalProperty"]
    words = {each["name"]: each["value"] for each in told}
    assert words["Chain of custody, ISO 22095"] == "controlled blending"


def test_an_older_passport_has_no_custody_word(document):
    assert "custody" not in json.dumps(document)


def test_another_custody_word_is_a_change():
    issued = CONTENT | {"custody": "segregated"}
    now = CONTENT | {"custody": "controlled-blending"}
    assert changed_figures(issued, now) == ("custody",)
    assert changed_figures(issued, issued) == ()
