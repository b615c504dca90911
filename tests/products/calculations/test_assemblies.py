"""Whether a product can be taken apart and recycled in one go."""

from decimal import Decimal

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from products.calculations.assemblies import Item, Joint, apart_verdict, goes_together, inseparable

MIXES = {("PP", "PE-HD"): 50, ("PC", "ABS"): None}


def plastic(name, *symbols, **more):
    return Item(name, polymers=frozenset(symbols), **more)


def codes(verdict):
    return [reason.code for reason in verdict.reasons]


def asked(items, *joints):
    return apart_verdict(items, joints, MIXES)


def test_one_polymer_throughout_is_recycled_in_one_go():
    verdict = asked([plastic("seat", "PP"), plastic("leg", "PP", count=3)], Joint("weld", 0, 1))
    assert (verdict.answer, codes(verdict)) == ("yes", ["apart-one-polymer"])


# From memory (usual handbook: VDI 2243 compatibility matrix): PP and PS do not go together.
def test_unlike_polymers_that_come_apart_are_recycled_after_taking_apart():
    items = [plastic("seat", "PP"), plastic("foot", "PS", count=3)]
    verdict = asked(items, Joint("press-fit", 0, 1, Decimal("1.5")))
    assert (verdict.answer, verdict.minutes) == ("after", Decimal("1.5"))
    assert codes(verdict) == ["apart-unlike", "apart-minutes"]
    assert str(verdict.reasons[1]) == "Taking it apart takes about 1.5 minutes."


@pytest.mark.parametrize("kind", ["glue", "weld"])
def test_unlike_polymers_that_are_glued_or_welded_are_not(kind):
    verdict = asked([plastic("seat", "PP"), plastic("foot", "PS")], Joint(kind, 0, 1))
    assert (verdict.answer, verdict.minutes) == ("no", 0)
    assert "Glued or welded, and not of one plastic: seat, foot." in verdict.reasons


def test_glue_reaches_through_what_lies_between():
    items = [plastic("seat", "PP"), Item("felt", "other"), plastic("foot", "PP")]
    verdict = asked(items, Joint("glue", 0, 1), Joint("glue", 1, 2))
    assert verdict.answer == "no"
    assert "Glued or welded into plastic: felt." in verdict.reasons


@pytest.mark.parametrize(
    ("flag", "code"), [("is_coated", "apart-coated"), ("has_inserts", "apart-inserts")]
)
def test_coatings_and_moulded_in_metal_are_not_recycled(flag, code):
    verdict = asked([plastic("seat", "PP", **{flag: True})])
    assert (verdict.answer, codes(verdict)[0]) == ("no", code)


def test_screws_come_out_with_what_they_hold():
    items = [plastic("seat", "PP"), plastic("leg", "PP"), Item("bolt", "screw", count=4)]
    assert asked(items, Joint("screw", 0, 1, Decimal(2))).answer == "after"


@pytest.mark.parametrize("kind", ["screw", "insert", "other"])
def test_what_nobody_has_said_comes_off_does_not(kind):
    verdict = asked([plastic("seat", "PP"), Item("thing", kind)])
    assert verdict.answer == "no"
    assert "Nobody has said how this comes off: thing." in verdict.reasons


def test_an_unlike_plastic_without_a_joint_does_not_come_off():
    assert asked([plastic("seat", "PP"), plastic("foot", "PS")]).answer == "no"
    assert asked([plastic("seat", "PP"), plastic("foot", "PP")]).answer == "yes"


# Scope of ASTM D7611: the code is of the article, not of its labels, coatings or adhesives.
def test_glue_between_like_polymers_is_noted_and_changes_no_answer():
    items = [plastic("seat", "PP"), plastic("leg", "PP"), Item("hot glue", "glue")]
    verdict = asked(items, Joint("glue", 0, 1))
    assert (verdict.answer, codes(verdict)) == ("yes", ["apart-one-polymer", "apart-glue-stays"])


@pytest.mark.parametrize(
    ("main_g", "added_g", "goes"), [(95, 5, True), (94.9, 5.1, False), (5, 95, False)]
)
def test_a_mixture_goes_as_far_as_it_is_allowed(main_g, added_g, goes):
    items = [plastic("a", "PP", mass_g=main_g), plastic("b", "PE-HD", mass_g=added_g)]
    assert goes_together(items, MIXES) is goes


def test_a_mixture_without_a_limit_goes_and_is_said_to_be_a_blend():
    verdict = asked([plastic("a", "ABS", mass_g=9), plastic("b", "PC", mass_g=1)])
    assert (verdict.answer, codes(verdict)) == ("yes", ["apart-mixture"])


def test_counts_weigh_in_a_mixture():
    items = [plastic("a", "PP", mass_g=95), plastic("b", "PE-HD", mass_g=5, count=2)]
    assert not goes_together(items, MIXES)


def test_three_polymers_are_no_mixture():
    items = [plastic("a", "PP"), plastic("b", "PE-HD"), plastic("c", "ABS")]
    assert not goes_together(items, MIXES)


@pytest.mark.parametrize("symbols", [(), ("PP", "PS")])
def test_what_may_be_of_several_polymers_goes_by_its_mark(symbols):
    assert asked([plastic("tray", *symbols)]).answer == "yes"
    pair = asked([plastic("tray", *symbols), plastic("lid", "PP")], Joint("interlock", 0, 1))
    assert (pair.answer, codes(pair)) == ("after", ["apart-open-polymers"])


@pytest.mark.parametrize(("symbols", "answer"), [(["PP"], "yes"), (["PP", "PS"], "no"), ([], "no")])
def test_like_things_glued_to_each_other_are_one_plastic_if_there_is_only_one(symbols, answer):
    items = [plastic("frame", "PP"), plastic("slat", *symbols, count=4)]
    assert asked(items, Joint("screw", 0, 1), Joint("glue", 1, 1)).answer == answer


# Materials notes F, source [DEW]: green procurement in the EU asks for a mark from 25 g or 200 mm2.
@pytest.mark.parametrize(
    ("mass_g", "surface_mm2", "asks"),
    [(25, None, True), (24.99, 199, False), (1, 200, True), (24.99, None, False)],
)
def test_each_large_plastic_thing_asks_for_a_mark(mass_g, surface_mm2, asks):
    seat = plastic("seat", "PP", mass_g=mass_g, surface_mm2=surface_mm2)
    assert ("apart-marks" in codes(asked([seat]))) is asks
    assert not Item("bolt", "screw", mass_g=mass_g, surface_mm2=surface_mm2).asks_for_mark


PAIRS = st.lists(st.tuples(st.sampled_from(["glue", "weld", "screw"]), *[st.integers(0, 7)] * 2))


# networkx, a general-purpose library for graphs, finds the same groups.
@given(PAIRS)
def test_what_is_inseparable_are_the_connected_parts_of_a_graph(pairs):
    graph = networkx.Graph()
    graph.add_nodes_from(range(8))
    graph.add_edges_from((a, b) for kind, a, b in pairs if kind != "screw")
    expected = [each for each in networkx.connected_components(graph) if len(each) > 1]
    found = inseparable(8, [Joint(*each) for each in pairs])
    assert sorted(map(sorted, found)) == sorted(map(sorted, expected))
