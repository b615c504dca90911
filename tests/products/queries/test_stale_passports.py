"""Passports of which the book knows better since."""

import pytest

from inventory.models import Transfer
from inventory.queries.corrections import postings_of_correction
from products.actions.fixings import put_in
from products.actions.passports import issue_passport
from products.models import Part
from products.queries.corrections import stale_after
from products.queries.parts import part_list
from products.queries.stale_passports import compared, stale_passport, stale_passports
from tests.factories.corrections import came_from
from tests.factories.fixings import clip_design, made, stool_design
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import load, make_part, make_run, weigh_out
from tests.kept import kept
from workshop.actions.corrections import correct_postings
from workshop.actions.runs import reopen_run
from workshop.models import Run

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def part(operator):
    """A part of 2 kg post-consumer flake."""
    return make_part(operator, make_full_bin(operator)[1], 2 * KG)


@pytest.fixture
def corrected(part, operator):
    """What was loaded for the part was virgin, of another colour, after all."""
    loaded = part.made_in.transfers.get().source.taken.get()
    virgin = make_full_bin(operator, origin_class="virgin", colour="red")[1]
    return came_from(loaded, virgin, operator)


def test_a_passport_just_issued_is_not_stale(part):
    assert stale_passports() == []
    assert stale_passport(part) is None


def test_a_correction_behind_a_part_makes_its_passport_stale(part, corrected):
    (found,) = stale_passports()
    assert (found.part, found.passport.version) == (part, 1)
    assert found.changed == ("origin", "colour")
    assert stale_passport(part) == found


def test_other_parts_are_not_named(corrected, operator):
    other = make_part(operator, make_full_bin(operator)[1], 2 * KG)
    assert other not in [each.part for each in stale_passports()]
    assert stale_passport(other) is None


def test_a_passport_issued_anew_is_not_stale(part, corrected, operator):
    issue_passport(part=part, act=make_act(operator, "the wrong bin was scanned"))
    assert stale_passports() == []


def test_a_reversal_that_changes_nothing_in_the_part_makes_nothing_stale(part, lead):
    reopen_run(run=Run.objects.get(), act=make_act(lead, "to look again"))
    assert stale_passports() == []


def test_a_part_without_a_passport_is_not_stale(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, KG)
    weigh_out(run, operator, "part", KG, pieces=1)
    assert stale_passport(Part.objects.get()) is None


def test_a_product_that_holds_a_corrected_part_is_named_too(lead):
    """Its passport states what the clip in it weighs."""
    clip = clip_design()
    stool, held = made(lead, stool_design(lead, clip)), made(lead, clip, 10_000)
    put_in(holder=stool, part=held, act=make_act(lead))
    issue_passport(part=stool, act=make_act(lead, "put together"))
    assert stale_passports() == []
    head = mend(lead, make_fix(held.made_in, 0.009), loss="fell", correct=correct_postings)
    expected = [(held, ("mass",)), (stool, ("holds",))]
    for found in (stale_passports(), stale_after(postings_of_correction(head))):
        assert [(each.part, each.changed) for each in found] == expected


def test_what_a_held_part_is_called_now_makes_no_passport_stale(lead):
    """As with the name of the part's own design: the version says what it was called then."""
    clip = clip_design()
    stool = made(lead, stool_design(lead, clip))
    put_in(holder=stool, part=made(lead, clip), act=make_act(lead))
    issue_passport(part=stool, act=make_act(lead, "put together"))
    clip.name = "Clip of before"
    clip.save()
    assert stale_passport(stool) is None
    assert stale_passports() == []


def test_many_parts_take_as_many_statements_as_one(corrected, django_assert_max_num_queries):
    with django_assert_max_num_queries(13):
        stale_passports()


def lighter(part, by):
    """Correct a part: it came out at 900 g, and the rest fell."""
    fix = make_fix(part.made_in, 0.9)
    return mend(by, fix, loss="fell", correct=correct_postings)


def test_what_is_named_is_what_a_look_at_every_passport_finds(lead):
    """However the mendings lie between the passports: before them, after them, or both."""
    lot = make_full_bin(lead)[1]
    first, second = make_part(lead, lot, KG), make_part(lead, lot, KG)
    lighter(second, lead)
    issue_passport(part=second, act=make_act(lead, "weighed anew"))
    make_part(lead, lot, KG)
    lighter(first, lead)
    assert stale_passports() == compared(part_list().order_by("-pk"))
    assert [each.part for each in stale_passports()] == [first]


def test_parts_without_a_passport_leave_room_for_those_with_one(part, operator, monkeypatch):
    """No more than so many are compared; a newer part that has none is none of them."""
    loaded = part.made_in.transfers.get().source.taken.get()
    run = make_run(operator)
    load(run, loaded.source, operator, KG)
    weigh_out(run, operator, "part", KG, pieces=1)
    virgin = make_full_bin(operator, origin_class="virgin", colour="red")[1]
    came = came_from(loaded, virgin, operator)
    later = came_from(Transfer.objects.filter(target__kind="charge").latest("pk"), virgin, operator)
    monkeypatch.setattr("products.queries.corrections.MOST_COMPARED", 1)
    assert [each.part for each in stale_after([came, later])] == [part]
