"""PROV of a real book: read by the library `prov`, and held against the ledger's own rows as a graph."""

from collections import Counter

import networkx as nx
import pytest
from django.utils import timezone
from prov.model import (
    ProvActivity,
    ProvDerivation,
    ProvDocument,
    ProvEntity,
    ProvGeneration,
    ProvInvalidation,
    ProvUsage,
)

from inventory.actions.lots import dispose_lot, move_lot
from inventory.models import Lot, Posting
from inventory.queries import prov_exports
from inventory.queries.closures import ancestor_edges, descendant_edges
from inventory.queries.exports import FORWARD, Scope
from inventory.queries.lots import open_lot_in
from inventory.queries.postings import standing_transfers
from inventory.queries.prov_exports import prov_json_chunks, prov_notation_chunks
from tests.factories.epcis import BASE
from tests.factories.exports import make_history, traced, whole_book
from tests.factories.inventory import BinFactory, grams, make_act, make_delivery
from tests.factories.mendings import make_fix, mend
from tests.inventory.calculations.test_prov_documents import statements
from workshop.models import Run

pytestmark = pytest.mark.django_db


@pytest.fixture
def book(lead):
    make_history(lead)
    return Lot.objects.filter(in_mg__gt=0)


@pytest.fixture
def read_back(book):
    """The whole book as PROV-JSON, read by the library."""
    return read_by_library(whole_book())


def read_by_library(scope: Scope) -> ProvDocument:
    content = "".join(prov_json_chunks(scope, BASE))
    return ProvDocument.deserialize(content=content, format="json")


def code_of(name: str) -> str:
    return str(name).rpartition("/")[2].rpartition(":")[2]


def graph_of(document: ProvDocument) -> nx.MultiDiGraph:
    """Derivations as a graph, from what was used to what came of it, with their mass in mg."""
    graph = nx.MultiDiGraph()
    for row in document.get_records(ProvDerivation):
        made, used = row.args[:2]
        (mg,) = row.get_attribute("ws:milligrams")
        graph.add_edge(code_of(used), code_of(made), mg=int(getattr(mg, "value", mg)))
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
        assert same_graph(graph_of(read_by_library(traced(lot))), ledger_graph(back))
        assert same_graph(graph_of(read_by_library(traced(lot, FORWARD))), ledger_graph(ahead))


def test_no_way_leads_over_what_never_happened(lead):
    wrong, right = (make_delivery(lead).lot for _ in range(2))
    bin = BinFactory()
    moves = [
        move_lot(lot=lot, bin=bin, mass=grams(2000), act=make_act(lead)) for lot in (wrong, right)
    ]
    fill = open_lot_in(bin)
    dispose_lot(lot=fill, mass=grams(500), act=make_act(lead, "wet"))
    mend(lead, make_fix(moves[0], is_out=True))
    back = read_by_library(traced(fill)).get_records(ProvEntity)
    assert {code_of(each.identifier) for each in back} == {fill.code, right.code}
    ahead = read_by_library(traced(wrong, FORWARD)).get_records(ProvEntity)
    assert {code_of(each.identifier) for each in ahead} <= {wrong.code}


def test_both_spellings_say_the_same(book):
    """PROV-N written by `prov` from the PROV-JSON that it read, against our own PROV-N."""
    own = "".join(prov_notation_chunks(whole_book(), BASE))
    library = read_by_library(whole_book()).get_provn()
    assert statements(own) == statements(library)


def test_a_document_is_the_same_twice(book):
    assert list(prov_json_chunks(whole_book(), BASE)) == list(prov_json_chunks(whole_book(), BASE))


def test_it_is_the_same_read_posting_by_posting(book, monkeypatch):
    """Runs, fillings and endings go across what is read at a time."""
    whole = "".join(prov_json_chunks(whole_book(), BASE))
    monkeypatch.setattr(prov_exports, "AT_ONCE", 1)
    assert read_by_library(whole_book()) == ProvDocument.deserialize(content=whole, format="json")


def test_every_run_is_one_activity_from_its_first_posting_to_its_last(read_back):
    told = {code_of(row.identifier): row.args for row in read_back.get_records(ProvActivity)}
    for run in Run.objects.all():
        moments = Posting.objects.filter(
            reference=run.reference, reverses=None, reversed_by=None
        ).values_list("happened_at", flat=True)
        assert told[run.number] == (min(moments), max(moments))


def thrown_away(scope: Scope) -> list[str]:
    found = read_by_library(scope).get_records(ProvInvalidation)
    return [code_of(row.args[0]) for row in found]


def test_a_lot_is_no_more_once_the_last_of_it_was_thrown_away(lead):
    some, whole, moved = (make_delivery(lead).lot for _ in range(3))
    begun = timezone.now()
    dispose_lot(lot=some, mass=grams(5), act=make_act(lead, "dirty"))
    dispose_lot(lot=whole, mass=grams(5), act=make_act(lead, "dirty"))
    dispose_lot(lot=whole, act=make_act(lead, "dirty"))
    dispose_lot(lot=moved, mass=grams(5), act=make_act(lead, "dirty"))
    noon = timezone.now()
    move_lot(lot=moved, bin=BinFactory(), act=make_act(lead, "dirty"))
    assert thrown_away(whole_book()) == [whole.code]
    assert thrown_away(Scope("since", since=begun, until=noon)) == [
        whole.code
    ]  # though filled before
    assert thrown_away(traced(whole, FORWARD)) == [whole.code]


def test_it_tells_of_the_book_as_it_was_when_it_was_begun(book, lead):
    before = "".join(prov_json_chunks(whole_book(), BASE))
    scope = whole_book()
    chunks = prov_json_chunks(scope, BASE)
    first = next(chunks)
    move_lot(lot=make_delivery(lead).lot, bin=BinFactory(), act=make_act(lead))
    assert first + "".join(chunks) == before
