"""Sources are added and changed."""

import pytest

from inventory.actions.sources import save_source
from inventory.models import Source
from tests.factories.book import refused, written
from tests.factories.inventory import make_act

pytestmark = pytest.mark.django_db


def test_adds_a_source(operator):
    fields = {"name": "Harbour", "role": "collector", "collection_route": "north quay"}
    source = save_source(fields=fields, act=make_act(operator))
    assert (source.name, source.collection_route) == ("Harbour", "north quay")


def test_refuses_a_name_that_is_taken_whatever_its_capitals(operator):
    save_source(fields={"name": "Harbour"}, act=make_act(operator))
    with refused("name-taken"):
        save_source(fields={"name": "HARBOUR"}, act=make_act(operator))


def test_keeps_what_another_tablet_saved_meanwhile(operator):
    stale = save_source(fields={"name": "Harbour"}, act=make_act(operator))
    Source.objects.update(contact="gate 4")
    save_source(fields={"name": "Old harbour"}, source=stale, act=make_act(operator))
    assert Source.objects.get().contact == "gate 4"


def test_a_repeat_finds_the_source_under_its_new_name(operator):
    act = make_act(operator)
    source = save_source(fields={"name": "Harbour"}, act=act)
    save_source(fields={"name": "Old harbour"}, source=source, act=make_act(operator))
    before = written()
    assert save_source(fields={"name": "Harbour"}, act=act) == source
    assert written() == before
