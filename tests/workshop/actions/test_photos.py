"""Photos are added to a run."""

from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests.factories.book import refused, written
from tests.factories.inventory import make_act
from tests.factories.making import act_at, at, make_old_run
from workshop.actions.photos import add_photo
from workshop.actions.runs import abandon_run
from workshop.models import Photo

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_old_run(operator)


def picture(octets=b"a picture"):
    return SimpleUploadedFile("sheet.jpg", octets, content_type="image/jpeg")


def test_a_photo_is_kept_with_its_note(operator, run):
    photo = add_photo(run=run, picture=picture(), note="edge", act=act_at(operator, 60))
    assert (photo.picture.read(), photo.note) == (b"a picture", "edge")


def test_a_repeat_keeps_one_photo(operator, run):
    act = act_at(operator, 60)
    photo = add_photo(run=run, picture=picture(), act=act)
    before = written()
    assert add_photo(run=run, picture=picture(), act=act) == photo
    assert written() == before


def test_refuses_another_picture_under_the_same_id(operator, run):
    act = act_at(operator, 60)
    add_photo(run=run, picture=picture(), act=act)
    with refused("key-reused"):
        add_photo(run=run, picture=picture(b"another"), act=act)


def test_refuses_more_photos_than_a_run_keeps(operator, run):
    moment = {"happened_at": at(0), "recorded_at": at(0), "by": operator, "picture": "runs/x.jpg"}
    Photo.objects.bulk_create(Photo(run=run, uuid=uuid4(), **moment) for _number in range(100))
    with refused("photos"):
        add_photo(run=run, picture=picture(), act=act_at(operator, 60))


def test_refuses_a_photo_of_a_closed_run(operator, run):
    abandon_run(run=run, act=make_act(operator, "heater broke"))
    with refused("run-closed"):
        add_photo(run=run, picture=picture(), act=act_at(operator, 60))
