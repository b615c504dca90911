"""Checkpoints and proofs over the API, checked by the standard's own steps."""

from uuid import uuid4

import pytest

from inventory.actions.checkpoints import make_checkpoint
from inventory.calculations.merkle import is_continued, is_included
from inventory.models import Checkpoint, Posting
from tests.factories.api import send
from tests.factories.inventory import make_delivery

pytestmark = pytest.mark.django_db


def octets(*texts):
    return [bytes.fromhex(text) for text in texts]


def test_a_checkpoint_is_made_once_for_one_id(api_client, operator):
    make_delivery(operator)
    key = str(uuid4())
    first = send(api_client, "checkpoints/", uuid=key)
    again = send(api_client, "checkpoints/", uuid=key)
    assert first.status_code == 201
    assert first.json() == again.json()
    assert Checkpoint.objects.count() == 1


def test_an_empty_book_is_refused(api_client):
    answer = send(api_client, "checkpoints/")
    assert (answer.status_code, answer.json()["code"]) == (422, "empty")


def test_a_proof_leads_from_an_entry_to_the_root(api_client, operator):
    for _ in range(5):
        make_delivery(operator)
    make_checkpoint(key=uuid4())
    proof = api_client.get(f"/api/proofs/{Posting.objects.first().uuid}/").json()
    leaf, root = octets(proof["leaf_hash"], proof["checkpoint"]["root"])
    facts = {"number": proof["leaf"], "size": proof["checkpoint"]["size"], "root": root}
    assert is_included(leaf=leaf, path=octets(*proof["path"]), **facts)


def test_an_entry_in_no_checkpoint_has_no_proof(api_client, operator):
    delivery = make_delivery(operator)
    answer = api_client.get(f"/api/proofs/{delivery.uuid}/")
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


def test_a_proof_leads_from_one_checkpoint_to_the_next(api_client, operator):
    make_delivery(operator)
    older = make_checkpoint(key=uuid4())
    make_delivery(operator)
    newer = make_checkpoint(key=uuid4())
    proof = api_client.get(f"/api/checkpoints/{newer.pk}/since/{older.pk}/").json()
    old_root, new_root = octets(proof["older"]["root"], proof["checkpoint"]["root"])
    sizes = {"older": older.size, "newer": newer.size}
    path = octets(*proof["path"])
    assert is_continued(**sizes, path=path, old_root=old_root, new_root=new_root)
    assert api_client.get(f"/api/checkpoints/{older.pk}/since/{newer.pk}/").status_code == 404
