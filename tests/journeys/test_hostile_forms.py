"""Whatever is sent to a page, it answers in a sentence and is never a fault of the server."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from inventory.models import Change, Posting
from tests.journeys.small_workshop import build
from tests.journeys.test_page_plans import page_addresses

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

HUGE, LONG = "9" * 30, "9" * 5000  # more than 64 bits; more digits than are read
NUL = "a\x00b"
# The numbers of rows that a form set sends along with itself, as nobody's page would.
ROWS = {
    f"{rows}-{name}": value
    for rows in ("part", "piece", "shape", "form")
    for name, value in {
        "TOTAL_FORMS": "1000000",
        "INITIAL_FORMS": "-1",
        "MAX_NUM_FORMS": "",
        "0-name": NUL,
        "9999-name": "x",
    }.items()
}
FOREIGN = (b"Ensure th", b"Select a valid", b"This field is required", b"Enter a valid")
ASKED = ("page", "sort", "since", "until", "design", "version", "code", "after", "open", "bin")


def boxes(form) -> list[str]:
    """The names under which a form reads what is sent."""
    return [form.add_prefix(name) for name in form.fields] if form is not None else []


def requests_to(client, path):
    """Yield the answers to empty and hostile forms, and to hostile questions."""
    names = boxes(getattr(client.get(path), "form", None))
    yield "nothing", client.post(path)
    yield "long", client.get(path, dict.fromkeys([*ASKED, *names], LONG))
    if names:
        yield "huge", client.post(path, dict.fromkeys(names, HUGE))
        yield "forged", client.post(path, dict.fromkeys(names, NUL) | ROWS)
        yield "files", client.post(path, {name: torn_photo() for name in names})


def torn_photo() -> SimpleUploadedFile:
    """The beginning of a JPEG under a name that would lead out of any folder."""
    return SimpleUploadedFile('a"\x01\n../../../x.jpg', b"\xff\xd8\xff\xe0junk", "image/jpeg")


def book() -> int:
    return Posting.objects.count() + Change.objects.count()


def speaks_foreign(answer) -> bool:
    """Whether an answer says something in words of the framework."""
    return any(words in getattr(answer, "content", b"") for words in FOREIGN)


def test_no_form_and_no_question_breaks_a_page(lead):
    things = build(lead)
    client = Client(raise_request_exception=False, headers={"accept": "text/html"})
    client.force_login(lead)
    before = book()
    broken = {
        (name, said, answer.status_code)
        for name, (path, *_ways) in page_addresses(things).items()
        for said, answer in requests_to(client, path)
        if answer.status_code >= 500 or speaks_foreign(answer)
    }
    assert broken == set()
    assert book() == before
