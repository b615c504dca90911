"""Every page of the staff for gloves, eyes and hands: room, text, zoom, contrast, keys, either hand."""

import os

import pytest
from django.conf import settings as configured
from django.test import Client

from tests.factories.people import make_person
from tests.journeys.browsing import violations
from tests.journeys.keys import walk
from tests.journeys.room import faults, wider
from tests.journeys.small_workshop import build, deeper_pages, pages

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.skipif(not os.environ.get("WALK"), reason="takes minutes; run with WALK=1"),
    pytest.mark.xdist_group("browser-two"),
    pytest.mark.django_db(transaction=True),
]

MAIN = [
    "home", "scan", "workshop:run-list", "workshop:run-open", "workshop:run-detail",
    "workshop:run-load", "workshop:run-yield", "workshop:run-make", "workshop:run-close",
    "workshop:visit-detail", "workshop:visit-settle", "workshop:machine-purge",
    "workshop:posting-correct", "inventory:bin-board", "inventory:bin-detail",
    "inventory:bin-count", "inventory:lot-detail", "inventory:lot-move",
    "inventory:delivery-create", "inventory:round-detail", "inventory:trace",
    "products:product-list", "products:part-detail", "products:label-print",
]  # fmt: skip

# The main acts, each with what is typed wrong; what is not named stays as the page offers it.
REFUSED = {
    "load from a bin": {"mass": "no mass"},
    "weigh out parts": {"mass": "", "pieces": "0"},
    "weigh out offcuts": {"mass": "9999"},
    "workshop:run-close": {},
    "open a press run": {},
    "workshop:run-abandon": {},
    "workshop:visit-start": {},
    "workshop:visit-settle": {},
    "workshop:visit-abandon": {},
    "workshop:machine-purge": {"reason": ""},
    "workshop:posting-correct": {"reason": ""},
    "workshop:pin-own": {},
    "inventory:delivery-create": {"gross": "1", "tare": "2"},
    "inventory:lot-move": {"mass": "9999"},
    "inventory:lot-hold": {"reason": ""},
    "inventory:lot-dispose": {"reason": ""},
    "count that is less": {},
    "print a label": {"start": "9999"},
    "products:passport-reissue": {"reason": ""},
}
SEND = """
(typed) => {
  const form = document.querySelector("main form[method=post]:not([target])");
  for (const [name, value] of Object.entries(typed)) {
    for (const control of form.elements) {
      if (control.name === name || control.name.endsWith(`-${name}`)) control.value = value;
    }
  }
  HTMLFormElement.prototype.submit.call(form);
}
"""


@pytest.fixture
def lead():
    return make_person("lead", "lead-one")


@pytest.fixture
def client(lead):
    """The lead, who may open every page."""
    client = Client()
    client.force_login(lead, backend="workshop.backends.PasswordBackend")
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


def axe(page, *rules) -> list[str]:
    """Return what axe finds, of all rules or of those that are named."""
    found = violations(page, *rules)
    return [f"axe {each['id']}: {each['nodes'][0]['html'][:120]}" for each in found]


def told(found: dict[str, list]) -> dict[str, list]:
    """Return what was found at least once."""
    return {name: faults for name, faults in found.items() if faults}


def unexpected(errors: list[str]) -> list[str]:
    """Return what the console said but for the refused states, which it repeats."""
    return [said for said in errors if "422" not in said and "404" not in said]


def test_every_page_has_room_and_fits_at_double_zoom(floor, client, things):
    found = {}
    walked = pages(client, things)
    assert len(walked) > 115  # noqa: PLR2004
    for name, path in walked.items():
        floor.page.set_viewport_size({"width": 800, "height": 1280})
        floor.page.goto(floor.address + path, wait_until="load")
        found[name] = faults(floor.page) + axe(floor.page)
        floor.page.set_viewport_size({"width": 400, "height": 640})
        found[name] += wider(floor.page)
    assert told(found) == {}
    assert unexpected(floor.errors) == []


def test_every_page_can_be_read_in_the_dark(floor, client, things):
    found = {}
    floor.page.emulate_media(color_scheme="dark")
    for name, path in pages(client, things).items():
        floor.page.goto(floor.address + path, wait_until="load")
        found[name] = axe(floor.page, "color-contrast")
    assert told(found) == {}


def test_the_keyboard_reaches_all_of_the_main_pages_in_their_order(floor, client, things):
    found = {}
    walked = pages(client, things)
    for name in [*MAIN, *deeper_pages(things)]:
        floor.page.goto(floor.address + walked[name], wait_until="networkidle")
        found[name] = walk(floor.page)
    assert told(found) == {}


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_a_refused_form_of_each_main_act_says_so_readably(floor, client, things, colours):
    found = {}
    walked = pages(client, things)
    floor.page.emulate_media(color_scheme=colours)
    for name, typed in REFUSED.items():
        floor.page.goto(floor.address + walked[name], wait_until="load")
        found[name] = refuse(floor.page, typed)
        found[name] += faults(floor.page) + axe(floor.page)
        floor.page.set_viewport_size({"width": 400, "height": 640})
        found[name] += wider(floor.page)
        floor.page.set_viewport_size({"width": 800, "height": 1280})
    assert told(found) == {}
    assert unexpected(floor.errors) == []


def refuse(page, typed: dict[str, str]) -> list[str]:
    """Send the form of the page as without script, with something wrong; return what it lacks."""
    with page.expect_navigation():
        page.evaluate(SEND, typed)
    said = page.locator("main").locator("[role=alert], .errorlist, [aria-invalid]")
    return [] if said.count() else ["nothing says that it was refused"]
