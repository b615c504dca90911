"""The reference file against tables typed here from their sources, not from the file."""

import json
import re
from collections import Counter
from decimal import Decimal
from pathlib import Path

import pytest

FILE = Path(__file__).resolve().parents[3] / "fixtures" / "reference_materials.json"
DOCUMENT = json.loads(FILE.read_text())
POLYMERS = {row["symbol"]: row for row in DOCUMENT["polymers"]}
COLOURS = DOCUMENT["colours"]
FIELDS = {
    "symbol", "name", "spellings", "resin_code", "resin_text", "packaging_code", "packaging_text",
    "density_low", "density_typical", "density_high", "transition", "is_rejected",
    "reject_reason", "hazard", "windows", "fume_above_c",
    "properties", "drying", "decomposes_c",
}  # fmt: skip

# ASTM D7611: 1 to 6 are named, everything else is 7.
RESIN_CODES = {
    "PET": 1,
    "PE-HD": 2,
    "PVC-U": 3,
    "PE-LD": 4,
    "PE-LLD": 4,
    "PP": 5,
    "PS": 6,
    "PS-HI": 6,
}
# 97/129/EC: the text beside the number for 1 to 6; for 7 the ISO 1043-1 symbol.
PACKAGING_TEXTS = {"PE-HD": "HDPE", "PE-LD": "LDPE", "PE-LLD": "LDPE", "PVC-U": "PVC"}
PACKAGING_TEXTS |= {"PS-HI": "PS", "PA6": "PA", "PA66": "PA"}

# Crawford, "Plastics Engineering", table 1.8, in g/cm3.
CRAWFORD = {
    "PE-LD": "0.920", "PP": "0.905", "PS": "1.05", "ABS": "1.04", "PET": "1.36", "PVC-U": "1.40",
    "PA66": "1.14", "POM": "1.41", "PMMA": "1.18", "SAN": "1.08",
}  # fmt: skip

# Trade spellings on the left, ISO 1043-1 on the right: common practice.
TRADE = {
    "HDPE": "PE-HD", "LDPE": "PE-LD", "LLDPE": "PE-LLD", "GPPS": "PS", "HIPS": "PS-HI",
    "PETE": "PET", "PETG": "PET-G", "uPVC": "PVC-U", "nylon 6": "PA6", "nylon 6,6": "PA66",
    "acetal": "POM", "acrylic": "PMMA", "EVA": "EVAC", "E/VAC": "EVAC", "AS": "SAN", "PBTP": "PBT",
}  # fmt: skip

# Injection melt temperatures of the general processing guideline table, in °F as it prints them.
MELT_F = {
    "PE-HD": (360, 525), "PP": (400, 500), "PS": (400, 480), "ABS": (390, 540), "PA66": (520, 580),
    "PC": (520, 610), "PMMA": (420, 510), "PBT": (450, 490),
}  # fmt: skip

each_polymer = pytest.mark.parametrize("row", POLYMERS.values(), ids=POLYMERS)


def normalised(text):
    return re.sub(r"[\s-]", "", text.casefold())


def names_of(row):
    return {normalised(text) for text in [row["symbol"], *row["spellings"]]}


def test_there_are_twenty_polymers():
    assert len(DOCUMENT["polymers"]) == len(POLYMERS) == 20


@each_polymer
def test_a_polymer_has_every_field_and_a_source_for_each_value(row):
    assert set(row) == FIELDS | {"sources"}
    assert set(row["sources"]) == {field for field in FIELDS if row[field] != ""}


@each_polymer
def test_every_source_key_is_explained(row):
    used = " ".join(row["sources"].values()).split()
    assert set(used) <= set(DOCUMENT["source_keys"])


def test_no_explained_source_key_is_unused():
    used = " ".join(" ".join(row["sources"].values()) for row in POLYMERS.values()).split()
    assert set(used) == set(DOCUMENT["source_keys"])


@each_polymer
def test_the_typical_density_lies_between_the_ends(row):
    assert Decimal(row["density_low"]) <= Decimal(row["density_typical"])
    assert Decimal(row["density_typical"]) <= Decimal(row["density_high"])


@pytest.mark.parametrize(("symbol", "density"), CRAWFORD.items())
def test_the_typical_density_is_that_of_the_textbook(symbol, density):
    assert Decimal(POLYMERS[symbol]["density_typical"]) == Decimal(density)


@each_polymer
def test_the_resin_code_follows_astm_d7611(row):
    assert row["resin_code"] == RESIN_CODES.get(row["symbol"], 7)


def test_only_code_seven_reads_other():
    others = {symbol for symbol, row in POLYMERS.items() if row["resin_text"] == "OTHER"}
    assert others == set(POLYMERS) - set(RESIN_CODES)


def test_glycol_modified_pet_is_never_code_one():
    """ASTM D7611-20 asks code 1 for a melting peak, which an amorphous polymer does not have."""
    assert POLYMERS["PET-G"]["resin_code"] == 7
    assert POLYMERS["PET-G"]["packaging_code"] == 7


@each_polymer
def test_the_packaging_number_follows_97_129_ec(row):
    expected = PACKAGING_TEXTS.get(row["symbol"], row["symbol"])
    assert (row["packaging_code"], row["packaging_text"]) == (row["resin_code"], expected)


def test_pvc_and_pom_are_the_reject_materials():
    """Training notes on PVC and acetal: the two react violently and no purge makes it safe."""
    rejected = {symbol for symbol, row in POLYMERS.items() if row["is_rejected"]}
    assert rejected == {"PVC-U", "POM"}
    assert rejected == {symbol for symbol, row in POLYMERS.items() if row["reject_reason"]}


@pytest.mark.parametrize(("spelling", "symbol"), TRADE.items())
def test_a_trade_spelling_is_known(spelling, symbol):
    assert normalised(spelling) in names_of(POLYMERS[symbol])


def test_no_spelling_means_two_polymers():
    counts = Counter(name for row in POLYMERS.values() for name in names_of(row))
    assert counts.most_common(1)[0][1] == 1


@each_polymer
def test_the_hazard_is_a_sentence(row):
    assert row["hazard"].startswith("Overheated it ")
    assert row["hazard"].endswith(".")


@each_polymer
def test_the_transition_is_a_melting_point_or_a_glass_transition(row):
    assert re.search(r"\b(Tm|Tg|DSC main peak)\b.*\d+ C", row["transition"])


@pytest.mark.parametrize(("symbol", "ends_f"), MELT_F.items())
def test_the_melt_window_is_that_of_the_guideline_table_in_degrees_celsius(symbol, ends_f):
    ends_c = [round((end_f - 32) / 1.8) for end_f in ends_f]
    assert POLYMERS[symbol]["windows"]["inject-melt"] == [*ends_c, "PG"]


@each_polymer
def test_every_window_is_in_order_and_its_source_is_named(row):
    for low, high, key in row["windows"].values():
        assert low < high
        assert key in row["sources"]["windows"].split()


@each_polymer
def test_only_three_published_windows_reach_above_the_fume_ceiling(row):
    """ABS fumes from 260 °C, PET from 300 °C, EVAC (acetic acid) from 220 °C: the ceiling warns first."""
    ends = [high for low, high, key in row["windows"].values()]
    too_hot = [end for end in ends if end > row["fume_above_c"]]
    assert bool(too_hot) is (row["symbol"] in {"ABS", "PET", "EVAC"})


def test_reject_material_has_no_window():
    """So that nothing invites anybody to heat it."""
    assert [row["windows"] for row in POLYMERS.values() if row["is_rejected"]] == [{}, {}]


def test_one_colour_is_mixed_and_has_no_value():
    mixed = [row for row in COLOURS if row["is_mixed"]]
    assert mixed == [{"name": "mixed", "srgb": "", "is_mixed": True}]


def test_every_other_colour_has_its_own_name_and_value():
    plain = [row for row in COLOURS if not row["is_mixed"]]
    assert all(re.fullmatch("#[0-9a-f]{6}", row["srgb"]) for row in plain)
    assert len({row["name"] for row in plain}) == len({row["srgb"] for row in plain}) == len(plain)


def test_colours_have_plain_names():
    assert all(re.fullmatch("(light |dark )?[a-z]+", row["name"]) for row in COLOURS)
    assert {"natural", "transparent", "black", "white"} <= {row["name"] for row in COLOURS}
