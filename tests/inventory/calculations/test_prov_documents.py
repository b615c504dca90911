"""PROV documents of postings, read back by the library `prov`, which is not ours."""

from datetime import timedelta

from prov.model import ProvActivity, ProvAgent, ProvDerivation, ProvDocument, ProvInvalidation

from inventory.calculations.epcis_events import Flow
from inventory.calculations.prov_documents import last_filled, prov_document
from tests.inventory.calculations.test_epcis_events import (
    AT,
    BASE,
    BLEND,
    FILL,
    KG,
    RECEIPTS,
    YIELD,
    A,
    told,
)


def kept(*steps) -> ProvDocument:
    content = prov_document(steps, BASE).serialize(format="json")
    return ProvDocument.deserialize(content=content, format="json")


def names(document: ProvDocument, kind) -> list[str]:
    return sorted(str(row.identifier) for row in document.get_records(kind))


def test_a_run_is_one_activity_and_agents_are_roles():
    found = kept(*RECEIPTS, BLEND, YIELD)
    assert "run:R-0001" in names(found, ProvActivity)
    assert names(found, ProvAgent) == ["party:role-operator", "party:workshop"]


def test_each_transfer_is_a_derivation():
    pairs = [
        (str(r.args[0]), str(r.args[1])) for r in kept(BLEND, YIELD).get_records(ProvDerivation)
    ]
    assert sorted(pairs) == [
        ("lot:F", "lot:A"),
        ("lot:F", "lot:B"),
        ("lot:R", "lot:F"),
        ("part:P1", "lot:F"),
        ("part:P2", "lot:F"),
    ]


def test_a_lot_is_generated_by_what_filled_it_last():
    more = told(Flow(A, FILL, KG, "moved"), number=8)
    assert last_filled([BLEND, more])["F"][0] is more


def test_what_was_undone_is_no_history():
    undone = told(*BLEND.flows, number=3, undone_at=AT + timedelta(days=1))
    assert list(kept(*RECEIPTS, undone).get_records(ProvDerivation)) == []


def test_what_was_disposed_of_whole_is_no_more():
    half = told(Flow(A, None, 3 * KG, "disposed"), number=8)
    rest = told(Flow(A, None, 3 * KG, "disposed"), number=9)
    assert list(kept(*RECEIPTS, half).get_records(ProvInvalidation)) == []
    (end,) = kept(*RECEIPTS, half, rest).get_records(ProvInvalidation)
    assert str(end.args[0]) == "lot:A"


def test_nothing_is_a_document_too():
    assert list(kept().get_records()) == []
