"""Parts are put together at the tablet, with a scanner and as few taps as there are."""

import pytest
from playwright.sync_api import expect

from products.actions.fixings import put_in
from products.models import Fixing
from tests.factories.fixings import bag_of, clip_design, made, stool_design
from tests.factories.inventory import make_act
from tests.factories.people import make_person
from tests.journeys.scanners import HandScanner

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-two"),
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def person():
    return make_person("operator", "operator-one")


@pytest.fixture
def floor(tablet, person):
    """The tablet with somebody signed in."""
    tablet.sign_in(person)
    tablet.open("/")
    yield tablet
    assert tablet.violations == []


@pytest.fixture
def scanner(floor):
    return HandScanner(floor.page)


@pytest.fixture
def clip():
    return clip_design()


@pytest.fixture
def stool(person, clip):
    return made(person, stool_design(person, clip))


def test_each_scan_on_the_page_of_the_holder_puts_a_part_in(floor, scanner, stool, clip, person):
    parts = [made(person, clip) for _ in range(2)]
    floor.open(stool.get_absolute_url())
    for count, part in enumerate(parts, 1):
        scanner.type(f"http://localhost:8000/q/{part.code}")
        expect(floor.page.get_by_text(f"Missing: {3 - count} × Clip")).to_be_visible()
    assert {fixing.part for fixing in Fixing.objects.open()} == set(parts)
    floor.look("what a holder holds")


def test_a_scan_of_what_does_not_fit_says_so(floor, scanner, stool, person):
    hook = made(person, clip_design("Hook"))
    floor.open(stool.get_absolute_url())
    scanner.type(f"http://localhost:8000/q/{hook.code}")
    expect(floor.page.get_by_text("Hook is not in the parts list at such a line")).to_be_visible()
    assert not Fixing.objects.exists()


def test_the_lists_of_the_upright_tablet_show_all_columns_at_once(floor, stool, clip, person):
    """Also with a part in a product, a design of a long name, and a bag's code in the ledger."""
    clip.name = "Board 600 x 600 x 10"
    bag = bag_of(person, clip, 5)
    put_in(holder=stool, part=bag, act=make_act(person), pieces=1)
    for address in ("/parts/", "/ledger/", "/deliveries/", "/lots/"):
        floor.page.goto(f"{floor.address}{address}")
        table = floor.page.locator(".table-frame").first
        assert table.evaluate("frame => frame.scrollWidth - frame.clientWidth") == 0, address
