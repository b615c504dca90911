"""Every page of the staff for gloves, eyes and hands: room, text, zoom, contrast, keys, either hand."""

import os

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings as configured
from django.test import Client

from tests.factories.people import make_person
from tests.journeys.room import faults, wider
from tests.journeys.small_workshop import build, pages

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.skipif(not os.environ.get("WALK"), reason="takes minutes; run with WALK=1"),
    pytest.mark.xdist_group("browser-two"),
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def lead():
    return make_person("lead", "lead-one")


@pytest.fixture
def client(lead):
    """The lead, who may open every page."""
    client = Client()
    client.force_login(lead, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def things(lead):
    return build(lead)


@pytest.fixture
def floor(tablet, client):
    """The tablet with the lead signed in."""
    value = client.cookies[configured.SESSION_COOKIE_NAME].value
    cookie = {"name": configured.SESSION_COOKIE_NAME, "value": value, "url": tablet.address}
    tablet.page.context.add_cookies([cookie])
    return tablet


def test_every_page_has_room_and_fits_at_double_zoom(floor, client, things):
    found = {}
    walked = pages(client, things)
    assert len(walked) > 75
    for name, path in walked.items():
        floor.page.set_viewport_size({"width": 800, "height": 1280})
        floor.page.goto(floor.address + path, wait_until="load")
        found[name] = faults(floor.page)
        axe = Axe().run(floor.page, options={"preload": False}).response
        found[name] += [f"axe {each['id']}" for each in axe["violations"]]
        floor.page.set_viewport_size({"width": 400, "height": 640})
        found[name] += wider(floor.page)
    assert {name: told for name, told in found.items() if told} == {}
    assert floor.errors == []
