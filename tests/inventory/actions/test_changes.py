"""Acts that move no mass are written down with who, in which role, when and why."""

import pytest

from inventory.actions.bins import retire_bin
from inventory.actions.changes import outcome_of
from inventory.actions.sources import save_source
from inventory.calculations.fingerprints import fingerprint
from inventory.models import Change, Source
from tests.factories.inventory import BinFactory, make_act

pytestmark = pytest.mark.django_db


def test_writes_who_did_what_in_which_role(lead):
    act, bin = make_act(lead, "cracked"), BinFactory()
    retire_bin(bin=bin, act=act)
    change = Change.objects.get()
    assert (change.uuid, change.verb, change.subject) == (act.key, "retire bin", bin.code)
    assert (change.by, change.role, change.reason) == (lead, "lead", "cracked")
    assert change.fingerprint == fingerprint(change.request)


def test_finds_again_what_was_made_whatever_it_is_called_since(operator):
    source = save_source(fields={"name": "Harbour"}, act=make_act(operator))
    made = Change.objects.get()
    save_source(fields={"name": "Old harbour"}, source=source, act=make_act(operator))
    assert outcome_of(made, Source).name == "Old harbour"


def test_cuts_a_long_name_to_the_room_that_the_book_has(operator):
    save_source(fields={"name": "x" * 100}, act=make_act(operator))
    assert Change.objects.get().subject == "x" * 60
