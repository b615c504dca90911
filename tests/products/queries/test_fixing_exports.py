"""Parts put together as others are told of it, judged by the published schema and the linter."""

from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from inventory.actions.postings import reverse_posting
from inventory.calculations.epcis_lint import lint
from inventory.models import Posting
from inventory.queries.exports import BACK, FORWARD, Scope
from products.actions.fixings import put_in, swap_part, take_out
from products.models import Fixing
from tests.factories.epcis import BASE, exported
from tests.factories.exports import traced, whole_book
from tests.factories.fixings import bag_of, clip_design, made, stool_design
from tests.factories.inventory import make_act
from tests.factories.schemas import faults
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def clips(stool, loose, operator):
    """A stool into which a clip was put that was swapped for another, which was taken out too."""
    other = made(operator, loose.design)
    put_in(holder=stool, part=loose, act=make_act(operator))
    swap_part(part=loose, new=other, act=make_act(operator))
    take_out(part=other, act=make_act(operator))
    return loose, other


def joined(document: dict) -> list[tuple]:
    """What was joined and parted, by the codes of the ids."""
    return [
        (event["action"], event["bizStep"], *map(code_of, (event["parentID"], *event["childEPCs"])))
        for event in document["epcisBody"]["eventList"]
        if event["type"] == "AssociationEvent"
    ]


def code_of(name: str) -> str:
    return name.rpartition("/")[2]


def test_put_in_swapped_and_taken_out_are_told_by_schema_and_linter(stool, clips):
    document = exported(whole_book())
    first, second = (clip.code for clip in clips)
    assert joined(document) == [
        ("ADD", "assembling", stool.code, first),
        ("DELETE", "disassembling", stool.code, first),
        ("ADD", "assembling", stool.code, second),
        ("DELETE", "disassembling", stool.code, second),
    ]
    assert (faults(document), lint(document)) == ([], [])


def test_each_event_has_its_own_time_and_an_id_that_stays(stool, clips):
    events = exported(whole_book())["epcisBody"]["eventList"]
    own = [event for event in events if event["type"] == "AssociationEvent"]
    assert len({event["eventID"] for event in own}) == 4
    moments = Fixing.objects.order_by("pk").values_list("put_in_at", "taken_out_at")
    wanted = [at for pair in moments for at in pair]
    times = [datetime.fromisoformat(event["eventTime"]) for event in own]
    apart = [abs(time - at) for time, at in zip(times, wanted, strict=True)]
    assert max(apart) < timedelta(milliseconds=1)
    again = exported(whole_book())["epcisBody"]["eventList"]
    assert [event for event in again if event["type"] == "AssociationEvent"] == own


def test_a_time_tells_what_happened_in_it(stool, loose, operator):
    put_in(holder=stool, part=loose, act=make_act(operator))
    noon = timezone.now()
    take_out(part=loose, act=make_act(operator))
    early, late = noon - timedelta(days=9), noon + timedelta(days=9)
    before, after = (
        exported(Scope("some", since=since, until=until))
        for since, until in ((early, noon), (noon, late))
    )
    assert [each[0] for each in joined(before)] == ["ADD"]
    assert [each[0] for each in joined(after)] == ["DELETE"]


def test_ahead_of_a_part_is_what_it_was_put_into_and_back_only_what_is_told_there(
    stool, loose, operator
):
    put_in(holder=stool, part=loose, act=make_act(operator))
    for part in (loose, stool):
        ahead, back = exported(traced(part.lot, FORWARD)), exported(traced(part.lot))
        assert joined(ahead) == [("ADD", "assembling", stool.code, loose.code)]
        assert (faults(ahead), lint(ahead, is_excerpt=True)) == ([], [])
        assert (joined(back), lint(back)) == ([], [])
    both = exported(Scope("both", (stool.lot, loose.lot), BACK))
    assert joined(both) == [("ADD", "assembling", stool.code, loose.code)]
    assert lint(both) == []


def test_pieces_of_a_bag_are_told_as_the_parts_that_they_became(operator):
    clip = clip_design()
    stool = made(operator, stool_design(operator, clip))
    bag = bag_of(operator, clip, 5)
    fixing = put_in(holder=stool, part=bag, pieces=3, act=make_act(operator))
    document = exported(whole_book())
    assert joined(document) == [("ADD", "assembling", stool.code, fixing.part.code)]
    assert fixing.part.code != bag.code
    assert (faults(document), lint(document)) == ([], [])


def test_pieces_that_went_back_into_their_bag_were_never_put_in(operator, lead):
    clip = clip_design()
    stool = made(operator, stool_design(operator, clip))
    fixing = put_in(holder=stool, part=bag_of(operator, clip, 5), act=make_act(operator))
    take_out(part=fixing.part, act=make_act(operator))
    divided = Posting.objects.get(kind="divide")
    reverse_posting(posting=divided, act=make_act(lead, "another bag"))
    assert joined(exported(whole_book())) == []
    assert joined(exported(traced(stool.lot, FORWARD))) == []


def test_nobody_is_named(stool, clips, operator):
    assert operator.username not in str(exported(whole_book()))


def test_they_cost_one_query_however_many(stool, clips, django_assert_max_num_queries):
    with django_assert_max_num_queries(14):
        exported(whole_book(), BASE)
