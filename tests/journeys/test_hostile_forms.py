"""Whatever is sent to a page, it answers in a sentence and is never a fault of the server."""

import pytest
from django.test import Client

from tests.journeys.small_workshop import build
from tests.journeys.test_page_plans import page_addresses

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

HUGE, LONG = "9" * 30, "9" * 5000  # more than 64 bits; more digits than are read
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


def test_no_form_and_no_question_breaks_a_page(lead):
    things = build(lead)
    client = Client(raise_request_exception=False, headers={"accept": "text/html"})
    client.force_login(lead)
    broken = {
        (name, said, answer.status_code)
        for name, (path, *_ways) in page_addresses(things).items()
        for said, answer in requests_to(client, path)
        if answer.status_code >= 500
    }
    assert broken == set()
