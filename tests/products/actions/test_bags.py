"""A bag gives some of its pieces as a part of its own; not a milligram is lost or made."""

from fractions import Fraction
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.actions.lots import hold_lot
from inventory.actions.postings import reverse_posting
from inventory.calculations.periods import month_of
from inventory.models import Posting, Transfer
from inventory.queries.flows import flow_of
from inventory.queries.lots import book_mass
from inventory.queries.recalls import whereabouts
from inventory.queries.traces import make_up_of, origins_of
from inventory.queries.verification import first_fault
from products.actions.bags import divide_bag
from products.actions.fixings import put_in
from products.actions.parts import hand_over_part
from products.actions.passports import issue_passport
from products.models import Part, Passport
from products.queries.passports import make_ups_of_parts
from tests.factories.book import refused, written
from tests.factories.fixings import CLIP_MG, bag_of, clip_design, made, stool_design
from tests.factories.inventory import ScaleFactory, make_act, make_delivery
from tests.factories.workshop import load, load_weighed, make_run, weigh_out_on
from tests.kept import kept
from workshop.actions.runs import close_run

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def bag(operator):
    return bag_of(operator, clip_design(), 50)


def take(bag, pieces, by, **more):
    return divide_bag(bag=bag, pieces=pieces, act=make_act(by, **more))


def fresh(part):
    return Part.objects.select_related("lot").get(pk=part.pk)


def test_the_pieces_weigh_their_share_and_the_rest_stays_in_the_bag(bag, operator):
    whole_mg = 50 * CLIP_MG + 3
    part, bag = take(bag, 2, operator), fresh(bag)
    # Their share of 50 by hand: 2 * CLIP_MG and 0.12 mg, which is rounded down.
    assert (part.lot.held_mg, bag.lot.held_mg) == (2 * CLIP_MG, whole_mg - 2 * CLIP_MG)
    assert (part.pieces, part.pieces_left, bag.pieces, bag.pieces_left) == (2, 2, 50, 48)
    assert (part.bag, part.design, part.made_in, part.made_at) == (
        bag,
        bag.design,
        bag.made_in,
        bag.made_at,
    )
    posting = Posting.objects.latest("pk")
    assert (posting.kind, posting.reference) == ("divide", f"bag {bag.code}")
    assert first_fault() is None


def test_the_code_of_the_pieces_is_new_and_that_of_their_lot(bag, operator):
    part = take(bag, 2, operator)
    assert part.code == part.lot.code != bag.code
    assert part.lot.mark == ">PE-HD<"


def test_a_repeat_is_answered_with_the_same_part(bag, operator):
    act = make_act(operator)
    part = divide_bag(bag=bag, pieces=2, act=act)
    before = written()
    assert divide_bag(bag=bag, pieces=2, act=act) == part
    assert written() == before
    with refused("key-reused"):
        divide_bag(bag=bag, pieces=3, act=act)


@pytest.mark.parametrize("pieces", [0, -1, 50, 51])
def test_refuses_none_and_all_of_them(bag, operator, pieces):
    with refused("pieces"):
        take(bag, pieces, operator)


def test_refuses_a_bag_on_hold(bag, operator):
    hold_lot(lot=bag.lot, act=make_act(operator, "brittle"))
    with refused("on-hold"):
        take(bag, 2, operator)


def test_refuses_a_bag_in_use(bag, operator):
    hand_over_part(part=bag, act=make_act(operator))
    with refused("in-use"):
        take(bag, 2, operator)


def test_refuses_a_bag_that_was_used_up(bag, operator):
    load(make_run(operator, "granulate"), bag.lot, operator)
    with refused("used-up"):
        take(bag, 2, operator)


def test_refuses_a_bag_that_is_in_a_product(lead, operator):
    clip = clip_design()
    bag = bag_of(operator, clip, 3)
    put_in(holder=made(operator, stool_design(lead, clip)), part=bag, act=make_act(operator))
    with refused("fixed"):
        take(bag, 1, operator)


def test_the_shares_of_the_pieces_are_those_of_the_bag(operator):
    design = clip_design()
    design.tracked = "bag"
    design.save()
    run = make_run(operator, "inject", design)
    for mass_mg, origin, colour in ((7_001, "post-consumer", "blue"), (2_999, "virgin", "red")):
        lot = make_delivery(operator, origin_class=origin, colour=colour).lot
        load(run, lot, operator, mass_mg)
    scale = ScaleFactory(resolution_mg=1)
    weigh_out_on(scale, run, operator, "part", 10_000, pieces=7)
    close_run(run=run, act=make_act(operator))
    bag = Part.objects.get()
    part = take(take(bag, 4, operator), 3, operator)
    ups = make_ups_of_parts([bag, part])
    assert ups[bag.pk] == ups[part.pk]
    assert ups[part.pk].by_origin == {
        "post-consumer": Fraction(7_001, 10_000),
        "virgin": Fraction(2_999, 10_000),
    }
    ours, theirs = make_up_of(part.lot), make_up_of(bag.lot)
    assert [(s.label, s.share) for s in ours.by_passes] == [
        (s.label, s.share) for s in theirs.by_passes
    ]
    shares = [
        {row.lot: round(row.share, 12) for row in origins_of(lot)} for lot in (part.lot, bag.lot)
    ]
    assert shares[0] == shares[1]


def test_the_uncertainty_of_the_pieces_is_their_share_of_the_bags(operator):
    design, scale = clip_design(), ScaleFactory(resolution_mg=1000)
    design.tracked = "bag"
    design.save()
    run = make_run(operator, "inject", design)
    load_weighed(run, make_delivery(operator).lot, operator, 500_000, scale)
    weigh_out_on(scale, run, operator, "part", 500_000, pieces=50)
    bag = Part.objects.get()
    # u(q m) = q u(m) for a share q without uncertainty (JCGM 100, 5.1.2).
    assert book_mass(bag.lot).uncertainty_ug == pytest.approx(288_676, abs=2)
    part = take(bag, 10, operator)
    assert book_mass(part.lot).uncertainty_ug == pytest.approx(288_676 / 5, abs=2)


def test_a_recall_finds_the_pieces_with_their_mass(bag, operator):
    part = take(bag, 2, operator)
    delivery = origins_of(bag.lot)[0].lot
    found = {each.lot.code: each.mass_mg for each in whereabouts([delivery]).holders}
    assert found[part.code] == 2 * CLIP_MG
    assert found[bag.code] == 48 * CLIP_MG + 3


def test_flows_tie_to_the_milligram_and_know_of_no_mass_between_bag_and_pieces(bag, operator):
    today = bag.made_at.date()
    before = flow_of(month_of(today)).by_place()
    part = take(bag, 2, operator)
    after = flow_of(month_of(today))
    assert after.by_place() == before
    assert after.off_mg == 0
    load(make_run(operator, "granulate"), part.lot, operator)
    assert flow_of(month_of(today)).by_place()["part"].outs == {"worn": 2 * CLIP_MG}


def test_the_pieces_have_a_passport_of_their_own_made_like_the_bag(bag, operator):
    part = take(bag, 2, operator)
    assert Passport.objects.filter(part=bag).exists()
    passport = issue_passport(part=part, act=make_act(operator))
    content = passport.content
    assert (content["code"], content["pieces"], content["mass_mg"]) == (part.code, 2, 2 * CLIP_MG)
    assert content["run"] == Passport.objects.get(part=bag).content["run"]
    assert content["run"]["machine"]


def test_undone_the_pieces_are_in_the_bag_again(bag, operator, lead):
    part = take(bag, 2, operator)
    posting = Posting.objects.get(kind="divide")
    reverse_posting(posting=posting, act=make_act(lead, "wrong bag"))
    assert fresh(bag).pieces_left == 50
    assert part not in Part.objects.made()
    assert first_fault() is None


def test_pieces_that_were_used_are_not_put_back(bag, operator, lead):
    part = take(bag, 2, operator)
    load(make_run(operator, "granulate"), part.lot, operator)
    with refused("later-postings"):
        reverse_posting(posting=Posting.objects.get(kind="divide"), act=make_act(lead, "wrong bag"))


def test_what_a_run_made_is_told_without_the_pieces_taken_out_later(bag, operator):
    take(bag, 2, operator)
    assert Part.objects.filter(made_in=bag.made_in, bag=None).get() == bag


@settings(suppress_health_check=list(HealthCheck), max_examples=30)
@given(
    mass_mg=st.integers(60, 5_000_000),
    pieces=st.integers(2, 60),
    takes=st.lists(st.tuples(st.integers(0, 9), st.integers(1, 60)), min_size=1, max_size=8),
)
def test_any_history_of_taking_out_keeps_every_milligram_and_every_piece(
    bag, operator, mass_mg, pieces, takes
):
    """Held against whole fractions: no part is off its share by more than the splits that made it."""
    bag = bag_of(operator, bag.design, pieces, mass_mg)
    fair, off, parts = Fraction(mass_mg, pieces), {bag.pk: Fraction(0)}, [bag.pk]
    for which, count in takes:
        part = fresh(Part(pk=parts[which % len(parts)]))
        if not 0 < count < part.pieces_left:
            with refused("pieces"):
                take(part, count, operator)
            continue
        given_one = take(part, count, operator)
        parts.append(given_one.pk)
        off[given_one.pk] = off[part.pk] + 1
        off[part.pk] += 1
    rows = [fresh(Part(pk=pk)) for pk in parts]
    assert sum(row.lot.held_mg for row in rows) == mass_mg
    assert sum(row.pieces_left for row in rows) == pieces
    assert all(abs(row.lot.held_mg - fair * row.pieces_left) <= off[row.pk] for row in rows)
    assert Transfer.objects.filter(role="pieces", source__in=[row.lot for row in rows]).count() == (
        len(parts) - 1
    )
    assert first_fault() is None


def test_each_of_two_keys_takes_out_its_own(bag, operator):
    parts = {take(bag, 2, operator, key=uuid4()) for _ in range(2)}
    assert len(parts) == 2
    assert fresh(bag).pieces_left == 46
