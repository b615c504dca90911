"""An open day at one tablet: six people, three colours, two taps each; then one settlement."""

import pytest
from django.contrib.auth.models import User

from inventory.queries.verification import first_fault
from products.models import Part, Passport
from tests.factories.inventory import make_full_bin
from tests.factories.people import make_person
from tests.factories.visits import make_token_design
from tests.factories.workshop import MachineFactory
from workshop.models import Visit

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-one"),
    pytest.mark.django_db(transaction=True),
]
COLOURS = ("blue", "white", "red")


@pytest.fixture
def lots(db):
    by = make_person("operator", "operator-one")
    make_token_design(name="Leaf token")
    MachineFactory(name="Injector", kind="injection")
    make_full_bin(by, polymer="PP", colour="black")
    return [make_full_bin(by, colour=colour)[1] for colour in COLOURS]


@pytest.fixture
def at_work(slow_tablet, lots):
    tablet = slow_tablet
    tablet.sign_in(User.objects.get())
    tablet.open("/visits/new/")
    tablet.pick("design", "Leaf token")
    tablet.pick("machine", "Injector")
    tablet.tap("Start")
    return tablet


def make_one(tablet, lot, count) -> int:
    """Make one piece and return the taps it took."""
    tablet.page.wait_for_timeout(450)  # a second tap at once would count as a bounce
    tablet.page.locator(f"#swatch-{lot.code}").click()
    tablet.page.locator("#end-button").wait_for()
    tablet.page.wait_for_timeout(450)
    tablet.page.locator("#end-button").click()
    tablet.page.locator("#visit-count").get_by_text(str(count), exact=True).wait_for()
    return 2


def test_six_people_in_three_colours_take_two_taps_each(at_work, lots):
    at_work.look("visit choose")
    box = at_work.page.locator(".visit-chip").first.bounding_box()
    taps = sum(make_one(at_work, lots[number % 3], number + 1) for number in range(6))
    at_work.look("visit six made")
    at_work.page.locator(f"#swatch-{lots[0].code}").click()
    at_work.page.locator("#end-button").wait_for()
    at_work.look("visit running")
    at_work.page.locator("#undo-button").click()
    at_work.page.locator(f"#swatch-{lots[0].code}").wait_for()
    at_work.tap("End and settle the masses", role="link")
    for lot in lots:
        at_work.page.locator(f"[name='{lot.code}-mass']").fill("10.96")
    at_work.tap("Settle")
    visit = Visit.objects.get()
    assert taps == 2 * 6
    assert min(box["width"], box["height"]) >= 96
    assert (visit.state, Part.objects.count(), Passport.objects.count()) == ("closed", 6, 6)
    assert set(Part.objects.values_list("lot__in_mg", flat=True)) == {20_000}
    assert first_fault() is None
    assert (at_work.violations, at_work.errors) == ([], [])
