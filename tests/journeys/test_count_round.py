"""A round at the tablet: three bins, one agrees, one is corrected, one is skipped; another day goes on."""

import pytest
from django.contrib.auth.models import User

from inventory.models import Count, Round
from inventory.queries.rounds import progress_of
from inventory.queries.verification import first_fault
from tests.factories.inventory import BinFactory, ScaleFactory, make_full_bin
from tests.factories.people import make_person

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-one"),
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def floor():
    """Three bins of 10 kg, 1 kg tare each, an empty one elsewhere, and one scale."""
    by = make_person("operator", "operator-one")
    ScaleFactory(name="floor scale", resolution_mg=10_000)
    for name in ("T-90", "T-91", "T-92"):
        make_full_bin(by, bin_fields={"name": name, "place": "flake rack"})
    BinFactory(name="X-01", place="offcut wall")


def log_in(tablet):
    tablet.sign_in(User.objects.get())


def go(tablet, name, role="button"):
    """Tap what leads to another page, and look at that."""
    with tablet.page.expect_navigation():
        tablet.page.get_by_role(role, name=name, exact=True).first.click()
    tablet.look(f"count {name}")


def start_a_round(tablet):
    tablet.open("/bins/?sort=counted")
    go(tablet, "Count", "link")
    go(tablet, "Start a round", "link")
    tablet.pick("place", "flake rack")
    go(tablet, "Start")
    go(tablet, "Count T-90", "link")


def agree(tablet):
    tablet.fill("shown", "11,00")
    go(tablet, "Compare with the book")
    assert "agrees" in tablet.text()
    go(tablet, "It agrees: next")
    assert "T-91" in tablet.text()


def correct(tablet):
    """A digit too many is asked back; then the right figure is typed, at first without a reason."""
    tablet.fill("shown", "106.8")
    go(tablet, "Compare with the book")
    assert "is there a digit or a decimal point too many?" in tablet.text()
    go(tablet, "Weigh again", "link")
    tablet.fill("shown", "10.68")
    go(tablet, "Compare with the book")
    go(tablet, "Book 320 g out")
    assert Count.objects.filter(bin__name="T-91").count() == 0
    tablet.pick("cause", "spilt")
    go(tablet, "Book 320 g out")
    assert "T-92" in tablet.text()


def skip(tablet):
    go(tablet, "Skip", "link")
    go(tablet, "in use just now")
    assert "1 skipped" in tablet.text()


def test_a_round_through_three_bins(slow_tablet, floor):
    tablet = slow_tablet
    log_in(tablet)
    start_a_round(tablet)
    agree(tablet)
    correct(tablet)
    skip(tablet)
    go(tablet, "Finish the round", "link")
    go(tablet, "Finish the round")
    told = progress_of(Round.objects.get())
    assert (told.agreed, told.corrected, told.skipped, told.net_mg) == (1, 1, 1, -320_000)
    tablet.open("/counts/")
    tablet.open(f"/bins/{Count.objects.latest('pk').bin.code}/")
    assert [error for error in tablet.errors if "422" not in error] == []
    assert tablet.violations == []
    assert first_fault() is None
