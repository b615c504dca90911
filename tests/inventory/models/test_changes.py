"""A change says in words what was done to what."""

from inventory.models import Change


def test_reads_as_verb_and_subject():
    assert str(Change(verb="retire bin", subject="B-07")) == "retire bin B-07"
