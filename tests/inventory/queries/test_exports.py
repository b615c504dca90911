"""Exports of a real book: judged by the published schema, by the linter, and against the ledger's own rows."""

from collections import Counter

import pytest

from inventory.calculations.epcis_lint import lint
from inventory.calculations.epcis_reading import read
from inventory.models import Lot, Posting, Source, Transfer
from inventory.queries.exports import FORWARD, epcis_events, walked
from inventory.queries.postings import standing_transfers
from inventory.queries.prov_exports import prov_notation_chunks
from tests.factories.epcis import BASE, behind, exported
from tests.factories.exports import make_history, traced, whole_book
from tests.factories.inventory import SourceFactory, make_delivery
from tests.factories.schemas import faults

pytestmark = pytest.mark.django_db


@pytest.fixture
def book(lead):
    make_history(lead)
    return Lot.objects.filter(in_mg__gt=0)


def code_of(name: str) -> str:
    return str(name).rpartition("/")[2].rpartition(":")[2]


def test_the_whole_book_is_right_by_schema_and_linter(book):
    document = exported(whole_book())
    assert faults(document) == []
    assert lint(document) == []


def test_every_trace_back_is_whole(book):
    """So that another workshop can follow it to its beginnings."""
    assert {lot.code: lint(behind(lot)) for lot in book if lint(behind(lot))} == {}


def test_traces_forward_are_right_as_excerpts(book):
    document = exported(traced(book.filter(kind="delivery").earliest("pk"), FORWARD))
    assert document["ws:excerpt"] is True
    assert (faults(document), lint(document, is_excerpt=True)) == ([], [])


def test_an_event_is_told_alike_in_every_document(book):
    whole = [event for event in epcis_events(whole_book(), BASE)]
    for lot in book:
        assert all(event in whole for event in epcis_events(traced(lot), BASE))


def edges_told(document: dict) -> Counter:
    """The mass from lot to lot in mg that standing events tell, by the codes of the lots."""
    events = read(document).events
    wrong = {each.id for each in events if each.declaration}
    edges = Counter()
    for event in events:
        if event.id not in wrong and event.kind == "TransformationEvent":
            sides = event.taken if len(event.given) == 1 else event.given
            for each in sides:
                ends = (event.given[0], each) if len(event.given) == 1 else (each, event.taken[0])
                edges[tuple(code_of(end.id) for end in ends)] += each.mass_mg
    return edges


def edges_kept() -> Counter:
    """The same from the ledger's own rows."""
    rows = standing_transfers().filter(source__isnull=False, target__isnull=False)
    edges = Counter()
    for source, target, mg in rows.values_list("source__code", "target__code", "mass_mg"):
        edges[source, target] += mg
    return edges


def test_the_masses_told_are_those_of_the_ledger(book):
    assert edges_told(exported(whole_book())) == edges_kept()


def test_a_reversed_posting_is_told_with_its_declaration(book):
    """EPCIS: the wrong event again, unchanged but for the declaration, under the same id."""
    events = exported(whole_book())["epcisBody"]["eventList"]
    declared = [event for event in events if "errorDeclaration" in event]
    undone = Posting.objects.filter(reversed_by__isnull=False)
    ids = {event["eventID"] for event in declared}
    assert {f"urn:uuid:{uuid}" for uuid in undone.values_list("uuid", flat=True)} <= ids
    reasons = {event["errorDeclaration"]["reason"] for event in declared}
    assert reasons == {"did_not_occur", "incorrect_data"}


def test_nobody_is_named(book, lead):
    text = str(exported(whole_book())) + "".join(prov_notation_chunks(whole_book(), BASE))
    assert lead.username not in text
    private = SourceFactory(name="Erika of number 5", role=Source.Role.HOUSEHOLD)
    lot = make_delivery(lead, source=private).lot
    assert "Erika" not in str(behind(lot))
    assert "household" in str(behind(lot))


def test_a_document_costs_few_queries_however_long_it_is(book, django_assert_max_num_queries):
    for scope in (traced(book.filter(kind="part").latest("pk")), whole_book()):
        with django_assert_max_num_queries(13):
            exported(scope)


def test_reversals_are_no_postings_of_their_own(book):
    keys = walked(whole_book()).postings
    assert not Posting.objects.filter(pk__in=keys, reverses__isnull=False).exists()
    assert set(keys) == set(
        Transfer.objects.filter(reverses=None).values_list("posting", flat=True)
    )
