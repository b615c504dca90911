"""Marks after ISO 11469:2016 with symbols of ISO 1043-1 to -4.

The texts and their source tags are those collected for this project: 11469 and 1043-2 were
read in previews and excerpts, SEC is unsigned summaries of ISO 11469, FAP an engineering
article on part marks, DEW an encyclopaedia page, M-std from memory of the standard.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from products.calculations.fillers import FORMS, TYPES, Filler
from products.calculations.mark_parts import Constituent, Layer, Mark, MarkError, Recyclate
from products.calculations.marks import build, explain, mark_for_shares, parse
from products.calculations.polymers import GRADES, POLYMERS

VALID = [
    (">PE-HD<", "11469"),
    (">PP<", "11469"),
    (">PS-HI<", "11469"),
    (">PVC-U<", "11469"),
    (">PA66-GF30<", "1043-2"),
    (">PP-MD30<", "SEC"),
    (">PS-HI-GF20<", "SEC"),
    (">PA66-(GF25+MD15)<", "SEC"),
    (">PPS-(GF40+MD25)<", "FAP"),
    (">PPS-(GF33+MD33)<", "FAP"),
    (">PARA-(CF+MEF(x))<", "FAP, a placeholder for the metal"),
    (">PC+ABS<", "SEC"),
    (">PVC-P(DBP)<", "SEC, M-std"),
    (">PA66-(GF25+MD15)FR(52)<", "M-std"),
    (">ABS(REC30)<", "SEC"),
    (">PP(REC)<", "SEC"),
    (">PVC,PUR,ABS<", "M-std, a laminate"),
    (">PP-MED(Al)<", "1043-2"),
    (">PA66-GCM20<", "1043-2"),
    (">PET-G<", "DEW"),
    (">ABS-FR(17)<", "M-std"),
    (">PA6-(GF+MD)30<", "M-std, a share for the whole mixture"),
    (">PVC-P(DBP)+PMMA-FR(40)(REC100)<", "M-std"),
]

INVALID = [
    ("PE-HD", "brackets", 0, "11469"),
    (">PE-HD", "brackets", 6, "11469"),
    ("<PE-HD>", "reversed-brackets", 0, "11469"),
    (">pe-hd<", "lower-case", 1, "1043-2"),
    (">PE-hd<", "lower-case", 4, "1043-2"),
    (">PE - HD<", "space", 3, "1043-2"),
    (">PC + ABS<", "space", 3, "1043-2"),
    (">PA66-(GF25 + MD15)<", "space", 11, "1043-2"),
    (">PA66-GF25+MD15<", "mixture-without-parentheses", 10, "1043-2"),
    (">PA66-GF25+PP<", "additive-before-blend", 10, "11469"),
    (">PP(REC)+PS<", "additive-before-blend", 8, "11469"),
    (">PP-30MD<", "number-before-filler", 4, "1043-2"),
    (">PP-MD130<", "percentage", 6, "1043-2"),
    (">PP-MD0<", "percentage", 6, "1043-2"),
    (">PP-MD05<", "percentage", 6, "1043-2"),
    (">PA66-(GF60+MD40)<", "percentage-sum", 6, "1043-2"),
    (">PA66-(GF60+MD10)20<", "mixture-counted-twice", 6, "1043-2"),
    (">PA66-(GF25)<", "mixture-of-one", 6, "1043-2"),
    (">PA66-(GF25<", "unexpected", 11, "1043-2"),
    (">PP-MED(aluminium)<", "metal", 8, "1043-2"),
    (">PP-Q<", "unknown-letters", 4, "1043-1"),
    (">FR17<", "flame-code", 1, "M-std 1043-4"),
    (">ABS-FR17<", "flame-code", 7, "M-std 1043-4"),
    (">ABS-FR(7)<", "flame-code", 8, "M-std 1043-4"),
    (">ABS-FR(07)<", "flame-code", 8, "M-std 1043-4"),
    (">ABS(REC0)<", "recyclate", 8, "SEC"),
    (">ABS(REC101)<", "recyclate", 8, "SEC"),
    (">PVC-P(dbp)<", "parentheses", 6, "M-std 1043-3"),
    (">HDPE<", "trade-spelling", 1, "1043-1"),
    (">EVA<", "trade-spelling", 1, "1043-1"),
    (">PP+HDPE<", "trade-spelling", 4, "1043-1"),
    (">XYZ<", "unknown-polymer", 1, "1043-1"),
    (">PE-HD,<", "missing-polymer", 7, "11469"),
    (">PC+<", "missing-polymer", 4, "11469"),
    ("><", "missing-polymer", 1, "11469"),
    (">", "brackets", 1, "11469"),
    ("", "brackets", 0, "11469"),
]

fillers = st.builds(
    Filler,
    st.sampled_from(sorted(TYPES.keys() - {"ME"})),
    st.sampled_from(sorted(FORMS)),
    st.none() | st.integers(1, 24),
)
metals = st.builds(
    Filler,
    st.just("ME"),
    st.sampled_from(sorted(FORMS)),
    st.none() | st.integers(1, 24),
    st.sampled_from(["", "Al", "Fe", "x"]),
)
graded = st.sampled_from(sorted(GRADES)).map(lambda grade: Constituent(*grade))
plain = st.sampled_from([*sorted(POLYMERS), "PA6", "PA66", "PA66/6"]).map(Constituent)
plasticised = st.sampled_from(["DBP", "DINP", "ESO"]).map(lambda oil: Constituent("PVC", "P", oil))
filled = st.lists(fillers | metals, max_size=4).map(tuple)
layers = st.builds(
    Layer,
    st.lists(graded | plain | plasticised, min_size=1, max_size=3).map(tuple),
    filled,
    flame_code=st.none() | st.integers(10, 99),
    recyclate=st.none() | st.builds(Recyclate, st.none() | st.integers(1, 100)),
)
marks = st.builds(Mark, st.lists(layers, min_size=1, max_size=3).map(tuple))


def read(text):
    try:
        return parse(text)
    except MarkError as error:
        return error


def refused(text):
    with pytest.raises(MarkError) as error:
        parse(text)
    return error.value


@pytest.mark.parametrize(("text", "_source"), VALID)
def test_a_valid_mark_is_written_as_it_was_read(text, _source):
    assert build(parse(text)) == text


@pytest.mark.parametrize(("text", "_source"), VALID)
def test_a_valid_mark_is_explained_in_whole_sentences(text, _source):
    sentences = explain(parse(text))
    assert sentences
    assert [each for each in sentences if not each.endswith(".")] == []


@pytest.mark.parametrize(("text", "code", "position", "_source"), INVALID)
def test_what_is_no_mark_is_refused_with_its_place_and_rule(text, code, position, _source):
    error = refused(text)
    assert (error.code, error.position) == (code, position)
    assert "ISO " in error.rule


@given(marks)
def test_any_mark_reads_back_as_itself(mark):
    assert parse(str(mark)) == mark


@given(marks)
def test_any_text_of_a_mark_is_written_back(mark):
    text = str(mark)
    assert build(parse(text)) == text


@given(st.text(alphabet="><+-,()/ PEHDGFMRCx0123456789abc\u00e9\u0661", max_size=24))
def test_any_text_is_a_mark_or_a_mark_error(text):
    found = read(text)
    assert isinstance(found, MarkError) or parse(build(found)) == found


@pytest.mark.parametrize(
    ("text", "suggestion"),
    [
        (">HDPE<", ">PE-HD<"),
        (">EVA<", ">EVAC<"),
        (">HDPE-GF20<", ">PE-HD-GF20<"),
        (">nylon 6,6<", ">PA66<"),
        (">PA 6,PP<", ">PA6,PP<"),
        (">PC + ABS<", ">PC+ABS<"),
        (">pe-hd<", ">PE-HD<"),
        ("<PP>", ">PP<"),
    ],
)
def test_a_refused_mark_comes_with_one_that_can_be_read(text, suggestion):
    assert refused(text).suggestion == suggestion
    assert str(parse(suggestion)) == suggestion


def test_the_sentence_of_a_trade_spelling_names_what_to_write():
    assert refused(">HDPE<").rule == "HDPE is written PE-HD in ISO 1043-1."


def test_the_message_counts_characters_from_one():
    assert str(refused(">PP-30MD<")).endswith("(character 5)")


def test_a_hyphen_before_the_flame_code_of_a_filled_polymer_is_read_and_dropped():
    assert build(parse(">PBT-GF30-FR(17)<")) == ">PBT-GF30FR(17)<"


def test_medium_density_is_no_mineral_powder():
    assert parse(">PE-MD<").layers[0].constituents == (Constituent("PE", "MD"),)
    assert parse(">PP-MD<").layers[0].fillers == (Filler("M", "D"),)


def test_a_mark_that_would_be_read_as_another_is_not_built():
    with pytest.raises(MarkError) as error:
        build(Mark((Layer((Constituent("PP", "MD"),)),)))
    assert error.value.code == "ambiguous"


def test_the_parts_of_a_filled_and_protected_polymer_are_explained():
    """ISO 1043-2: GF glass fibre, MD mineral powder; ISO 1043-4: 52 red phosphorus [M-std]."""
    assert explain(parse(">PA66-(GF25+MD15)FR(52)<")) == [
        "PA66 is polyamide 66.",
        "GF25 is glass fibre, 25 % by mass (ISO 1043-2).",
        "MD15 is mineral powder, 15 % by mass (ISO 1043-2).",
        "FR(52) is a flame retardant: red phosphorus, in 50-59 inorganic phosphorus compounds (ISO 1043-4).",
    ]


def test_a_blend_is_explained_main_component_first():
    assert explain(parse(">PC+ABS<"))[0] == (
        "A blend with PC as the main component by mass, then ABS (ISO 11469)."
    )


def test_a_laminate_says_that_its_main_part_is_underlined():
    assert "underlined" in explain(parse(">PVC,PUR,ABS<"))[0]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (">PVC-P(DBP)<", "DBP is the plasticiser dibutyl phthalate"),
        (">ABS(REC30)<", "contains recycled plastic, 30 % by mass"),
        (">PP(REC)<", "the share is not stated"),
        (">PA6-(GF+MD)30<", "The fillers together are 30 % by mass."),
        (">PE-HD<", "HD: H high, D density (ISO 1043-1)."),
    ],
)
def test_each_addition_has_its_sentence(text, words):
    assert words in " ".join(explain(parse(text)))


@pytest.mark.parametrize(
    ("shares", "text"),
    [
        ({"PE-HD": 1}, ">PE-HD<"),
        ({"ABS": 0.3, "PC": 0.7}, ">PC+ABS<"),  # ISO 11469: main component first
        ({"PC": 0.3, "ABS": 0.7}, ">ABS+PC<"),
        ({"PS": 0.5, "ABS": 0.5}, ">ABS+PS<"),
        ({"PS": 0.5 - 1e-13, "ABS": 0.5 + 1e-13}, ">ABS+PS<"),
        ({"ABS": 0.5 - 1e-13, "PS": 0.5 + 1e-13}, ">ABS+PS<"),
        ({"PC+ABS": 1}, ">PC+ABS<"),
        ({"PC+ABS": 0.8, "ABS": 0.2}, ">ABS+PC<"),
        ({"PC+ABS": 0.8, "PS": 0.2}, ">PC+ABS+PS<"),
        ({"PE-HD": 25_000, "PP": 75_000}, ">PP+PE-HD<"),
        ({"PP-MD30": 1}, ">PP-MD30<"),
        ({"PP": 0.99, "PE-LD": 0.01}, ">PP+PE-LD<"),
        ({"PP": 0.9901, "PE-LD": 0.0099}, ">PP<"),
        ({"PP": 1, "PS": 0}, ">PP<"),
    ],
)
def test_a_lot_is_marked_by_its_make_up_in_descending_mass(shares, text):
    assert mark_for_shares(shares).text == text


def test_a_small_admixture_is_left_out_with_a_sentence():
    mark = mark_for_shares({"PP": 0.995, "PE-LD": 0.005})
    assert mark.left_out == ("PE-LD",)
    assert mark.warnings == (
        "PE-LD (0.5 % by mass) is below 1 % and is not marked (common practice).",
    )


def test_the_least_share_can_be_set():
    mark = mark_for_shares({"PP": 0.96, "PE-LD": 0.04}, least_share=0.05)
    assert (mark.text, mark.left_out) == (">PP<", ("PE-LD",))


def test_the_largest_polymer_is_marked_however_small_its_share():
    mark = mark_for_shares({"PP": 0.4, "PS": 0.3, "ABS": 0.3}, least_share=0.5)
    assert mark.text == ">PP<"


def test_the_unrecorded_halves_of_a_blend_are_said():
    assert "PC+ABS are not recorded" in mark_for_shares({"PC+ABS": 0.8, "PS": 0.2}).warnings[0]


@pytest.mark.parametrize(
    ("shares", "reason"),
    [
        ({}, "no material"),
        ({"PP": 0}, "no material"),
        ({"PP": 0.9999999, "": 0.0000001}, "less than 0.01 % of the mass is of unknown polymer"),
        ({"": 1}, "100 % of the mass is of unknown polymer"),
        ({"HDPE": 1}, "HDPE is written PE-HD"),
        ({"PP": 0.5, "XYZ": 0.5}, "XYZ is not among the polymer symbols"),
        ({"PP-MD30": 0.5, "PP": 0.5}, "Fillers and additives beside other material"),
        ({"PP,PE-HD": 1}, ", has no place here"),
    ],
)
def test_a_lot_that_cannot_be_marked_has_no_mark_and_a_reason(shares, reason):
    mark = mark_for_shares(shares)
    assert mark.text == ""
    assert reason in mark.warnings[0]


@pytest.mark.parametrize(("share", "least"), [(-0.1, 0.01), (0.5, 1), (0.5, -0.1)])
def test_impossible_shares_are_refused(share, least):
    with pytest.raises(ValueError, match="least share"):
        mark_for_shares({"PP": 0.6, "PS": share}, least_share=least)


@given(
    st.dictionaries(
        st.sampled_from(sorted(POLYMERS)), st.integers(1, 10**6), min_size=1, max_size=6
    )
)
def test_any_make_up_of_known_polymers_gives_a_mark_that_reads(masses):
    mark = mark_for_shares(masses)
    named = [str(each) for each in parse(mark.text).layers[0].constituents]
    assert sorted([*named, *mark.left_out]) == sorted(masses)
    assert [masses[each] for each in named] == sorted(
        (masses[each] for each in named), reverse=True
    )
