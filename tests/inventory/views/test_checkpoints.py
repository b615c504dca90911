"""The pages of checkpoints."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.actions.checkpoints import make_checkpoint
from inventory.models import Checkpoint, Posting
from tests.factories.inventory import make_delivery

pytestmark = pytest.mark.django_db

LIST = reverse("inventory:checkpoint-list")
NEW = reverse("inventory:checkpoint-create")


def test_the_list_says_what_to_do_when_there_is_none(floor):
    assert "Make the first one" in floor.get(LIST).content.decode()


def test_a_tap_makes_a_checkpoint_and_shows_its_root(floor, operator, key):
    make_delivery(operator)
    shown = floor.post(NEW, {"key": key}, follow=True).content.decode()
    assert Checkpoint.objects.get().root in shown


def test_a_tap_on_an_empty_book_is_refused_with_a_sentence(floor, key):
    answer = floor.post(NEW, {"key": key})
    assert answer.status_code == 422
    assert "after the first entry" in answer.content.decode()


def test_an_auditor_reads_checkpoints_and_makes_none(reader, operator, key):
    make_delivery(operator)
    make_checkpoint(key=uuid4())
    assert "Make a checkpoint now" not in reader.get(LIST).content.decode()
    assert reader.post(NEW, {"key": key}).status_code == 403


def test_a_later_checkpoint_shows_the_path_from_the_one_before(reader, operator):
    make_delivery(operator)
    first = make_checkpoint(key=uuid4())
    make_delivery(operator)
    second = make_checkpoint(key=uuid4())
    assert "none before it" in reader.get(first.get_absolute_url()).content.decode()
    answer = reader.get(second.get_absolute_url())
    assert answer.context["proof"].older == first
    assert answer.context["proof"].path[0] in answer.content.decode()


def test_a_posting_shows_its_path_once_a_checkpoint_holds_it(reader, operator):
    make_delivery(operator)
    make_delivery(operator)
    page = reverse("inventory:posting-proof", args=[Posting.objects.first().uuid])
    assert "in no checkpoint yet" in reader.get(page).content.decode()
    made = make_checkpoint(key=uuid4())
    assert made.root in reader.get(page).content.decode()
