"""Moving the address in printed codes."""

import pytest

from products.actions.addresses import move_address
from products.models import PrintedAddress
from products.queries.addresses import differing_address, printed_address
from tests.factories.book import refused
from tests.factories.inventory import make_act

pytestmark = pytest.mark.django_db
OLD, NEW = "https://old.example", "https://new.example/record"


@pytest.fixture
def frozen(lead, settings):
    """Labels carry the old address, and the settings name the new one."""
    settings.SITE_URL = OLD
    row = move_address(site_url=OLD, act=make_act(lead, "first"))
    settings.SITE_URL = NEW
    return row


def test_the_lead_moves_the_address(frozen, lead):
    moved = move_address(site_url=f"{NEW}/ ", act=make_act(lead, "a name of our own"))
    assert (moved.site_url, moved.reason, moved.by) == (NEW, "a name of our own", lead)
    assert printed_address() == NEW


def test_what_was_printed_before_stays_on_record(frozen, lead):
    move_address(site_url=NEW, act=make_act(lead, "a name of our own"))
    assert [row.site_url for row in PrintedAddress.objects.all()] == [NEW, OLD]


def test_until_it_is_moved_the_old_address_counts(frozen):
    assert printed_address() == OLD
    assert differing_address() == frozen


def test_moving_needs_a_reason(frozen, lead):
    with refused("reason"):
        move_address(site_url=NEW, act=make_act(lead))


@pytest.mark.parametrize(
    "url", ["new.example", "https://who@new.example", f"https://{'x' * 200}.example"]
)
def test_what_is_no_address_is_refused(frozen, lead, url):
    with refused("site-url"):
        move_address(site_url=url, act=make_act(lead, "moved"))


def test_the_same_address_is_refused(frozen, lead):
    with refused("address-same"):
        move_address(site_url=OLD, act=make_act(lead, "moved"))


def test_an_address_that_is_not_set_is_refused(frozen, lead):
    with refused("address-unset"):
        move_address(site_url="https://third.example", act=make_act(lead, "moved"))


def test_a_repeat_moves_once(frozen, lead):
    act = make_act(lead, "moved")
    assert move_address(site_url=NEW, act=act) == move_address(site_url=NEW, act=act)
    assert PrintedAddress.objects.count() == 2
