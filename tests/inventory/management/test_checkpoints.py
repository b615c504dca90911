"""The commands of checkpoints: the daily one, proofs, and a copy held against the book."""

import json
from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command

from inventory.actions.checkpoints import make_checkpoint
from inventory.models import Checkpoint, Posting
from tests.factories.inventory import make_delivery

pytestmark = pytest.mark.django_db


def said(*command) -> str:
    out = StringIO()
    call_command(*command, stdout=out)
    return out.getvalue()


def test_the_daily_command_prints_what_is_to_be_kept(operator):
    make_delivery(operator)
    printed = said("make_checkpoint")
    made = Checkpoint.objects.get()
    assert printed.rstrip().endswith(f"{made.size}:{made.root}")
    assert made.made_by is None


def test_the_daily_command_says_why_it_made_none():
    with pytest.raises(CommandError, match="Nothing is in the book"):
        call_command("make_checkpoint")


def test_a_proof_is_printed_as_json(operator):
    make_delivery(operator)
    make_checkpoint(key=uuid4())
    uuid = Posting.objects.get().uuid
    assert json.loads(said("print_proof", str(uuid)))["leaf"] == 0


@pytest.mark.parametrize("entry", ["no-uuid", "00000000-0000-0000-0000-000000000001"])
def test_an_unknown_entry_has_no_proof(entry):
    with pytest.raises(CommandError, match="No checkpoint holds"):
        call_command("print_proof", entry)


def test_growth_is_printed_in_the_right_order_only(operator):
    make_delivery(operator)
    older = make_checkpoint(key=uuid4())
    make_delivery(operator)
    newer = make_checkpoint(key=uuid4())
    proof = json.loads(said("print_proof", "--checkpoints", str(older.pk), str(newer.pk)))
    assert (proof["older"]["root"], proof["newer"]["root"]) == (older.root, newer.root)
    with pytest.raises(CommandError, match="in this order"):
        call_command("print_proof", "--checkpoints", str(newer.pk), str(older.pk))


def test_a_copy_of_the_root_agrees_or_is_named_as_the_fault(operator):
    make_delivery(operator)
    made = make_checkpoint(key=uuid4())
    said("verify_ledger", "--checkpoint", f"{made.size}:{made.root}")
    with pytest.raises(CommandError, match="Fault in checkpoint"):
        said("verify_ledger", "--checkpoint", f"{made.size}:{'0' * 64}")


def test_a_copy_in_another_shape_is_refused(operator):
    with pytest.raises(CommandError, match="SIZE:ROOT"):
        call_command("verify_ledger", "--checkpoint", "abc", stdout=StringIO())
