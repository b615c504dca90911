"""Exports of a real book: judged by the published schema, by the linter, and against the ledger's own rows."""

from collections import Counter

import networkx as nx
import pytest
from prov.model import ProvDerivation, ProvDocument, ProvGeneration, ProvUsage

from inventory.calculations.epcis_lint import lint
from inventory.calculations.epcis_reading import read
from inventory.models import Lot, Posting, Source, Transfer
from inventory.queries import exports
from inventory.queries.closures import ancestor_edges, descendant_edges
from inventory.queries.exports import FORWARD, TooMuch, epcis_events, prov_of, walked
from inventory.queries.postings import standing_transfers
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
    text = str(exported(whole_book())) + prov_of(whole_book(), BASE).get_provn()
    assert lead.username not in text
    private = SourceFactory(name="Erika of number 5", role=Source.Role.HOUSEHOLD)
    lot = make_delivery(lead, source=private).lot
    assert "Erika" not in str(behind(lot))
    assert "household" in str(behind(lot))


def test_a_document_costs_few_queries_however_long_it_is(book, django_assert_max_num_queries):
    for scope in (traced(book.filter(kind="part").latest("pk")), whole_book()):
        with django_assert_max_num_queries(13):
            exported(scope)


@pytest.fixture
def read_back(book):
    """The whole book as PROV, written as JSON and read by the library again."""
    found = prov_of(whole_book(), BASE)
    back = ProvDocument.deserialize(content=found.serialize(format="json"), format="json")
    assert back == found
    return back


def graph_of(document: ProvDocument) -> nx.MultiDiGraph:
    """Derivations as a graph, from what was used to what came of it, with their mass in mg."""
    graph = nx.MultiDiGraph()
    for row in document.get_records(ProvDerivation):
        made, used = row.args[:2]
        (mg,) = row.get_attribute(f"{BASE}/ns/plastic-1/milligrams") or row.get_attribute(
            "ws:milligrams"
        )
        graph.add_edge(code_of(used), code_of(made), mg=int(mg))
    return graph


def ledger_graph(edges) -> nx.MultiDiGraph:
    codes = dict(Lot.objects.values_list("pk", "code"))
    graph = nx.MultiDiGraph()
    graph.add_edges_from((codes[s], codes[t], {"mg": mg}) for s, t, mg, *_ in edges if s and t)
    return graph


def same_graph(one: nx.MultiDiGraph, other: nx.MultiDiGraph) -> bool:
    return Counter(one.edges(data="mg")) == Counter(other.edges(data="mg"))


def test_prov_read_back_is_the_graph_of_the_ledger(read_back):
    rows = standing_transfers().values_list("source", "target", "mass_mg")
    assert same_graph(graph_of(read_back), ledger_graph(rows))


def test_prov_keeps_its_five_constraints(read_back):
    """PROV-CONSTRAINTS: no cycle, one generation, uses after it, none after the end, starts before ends."""
    assert nx.is_directed_acyclic_graph(graph_of(read_back))
    made = {row.args[0]: row.args[2] for row in read_back.get_records(ProvGeneration)}
    assert len(made) == len(list(read_back.get_records(ProvGeneration)))
    uses = [(row.args[1], row.args[2]) for row in read_back.get_records(ProvUsage)]
    assert [entity for entity, at in uses if at < made[entity]] == []
    assert [row for row in spans(read_back) if row[0] > row[1]] == []


def spans(document: ProvDocument) -> list[tuple]:
    activities = [row for row in document.get_records() if row.get_type().localpart == "Activity"]
    return [(row.get_startTime(), row.get_endTime()) for row in activities]


def test_prov_of_a_trace_is_its_graph_either_way(book):
    for lot in book.filter(kind__in=["part", "delivery"]):
        back, (ahead, _took) = ancestor_edges(lot), descendant_edges(lot)
        assert same_graph(graph_of(prov_of(traced(lot), BASE)), ledger_graph(back))
        assert same_graph(graph_of(prov_of(traced(lot, FORWARD), BASE)), ledger_graph(ahead))


def test_prov_is_bounded(book, monkeypatch):
    monkeypatch.setattr(exports, "MOST_POSTINGS", 3)
    with pytest.raises(TooMuch):
        prov_of(whole_book(), BASE)


def test_reversals_are_no_postings_of_their_own(book):
    keys = walked(whole_book()).postings
    assert not Posting.objects.filter(pk__in=keys, reverses__isnull=False).exists()
    assert set(keys) == set(
        Transfer.objects.filter(reverses=None).values_list("posting", flat=True)
    )
