"""What a page says and does when the network is gone: a count, a print, a unit that changed, a locked bench."""

import pytest
from playwright.sync_api import expect

from products.models import Printing
from tests.factories.grids import GridFactory
from tests.factories.inventory import KG, make_full_bin
from tests.factories.people import PASSWORD, PIN, give_pin, make_bench, make_person
from tests.factories.workshop import make_run
from tests.journeys.test_dead_network import KEPT, until
from workshop.models import Load, Turn

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-two"),
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def lot():
    by = make_person("operator", "operator-one")
    give_pin(by)
    make_bench("Bench")
    GridFactory(name="Roll")
    return make_full_bin(by, bin_fields={"name": "T-90"})[1]


def sign_in(tablet, name):
    page = tablet.page
    page.goto(f"{tablet.address}/login/")
    page.locator("[name=username]").fill(name)
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("main [type=submit]").click()
    page.wait_for_url(lambda address: "/login/" not in address)


def waiting(tablet):
    return tablet.page.locator("[data-waiting-count]")


def test_a_reading_that_cannot_be_compared_stays_and_the_page_says_so(tablet, lot):
    count = f"{lot.bin.get_absolute_url()}count/"
    sign_in(tablet, "operator-one")
    until(lambda: tablet.page.evaluate(KEPT, count))
    tablet.set_network(is_on=False)
    tablet.page.goto(tablet.address + count)
    tablet.page.locator("[name=shown]").fill("10.5")
    tablet.page.get_by_role("button", name="Compare with the book").click()
    tablet.page.wait_for_url("**shown=10.5**")
    said = tablet.page.locator(".only-kept")
    expect(said).to_contain_text("cannot be held against the book now")
    assert tablet.page.locator("[name=shown]").input_value() == "10.5"
    tablet.look("count without network")
    assert tablet.violations == []
    tablet.set_network(is_on=True)
    tablet.page.get_by_role("button", name="Compare with the book").click()
    expect(tablet.page.locator(".comparison, [data-verdict]").first).to_be_visible()
    expect(said).to_be_hidden()


def test_labels_printed_without_network_lead_to_their_sheet_once_they_are_sent(tablet, lot):
    sign_in(tablet, "operator-one")
    tablet.page.goto(f"{tablet.address}/labels/print/?bin={lot.bin.code}")
    tablet.set_network(is_on=False)
    tablet.page.get_by_role("button", name="Print", exact=True).click()
    expect(tablet.page.locator(".messages")).to_contain_text("leads to the sheet")
    assert not Printing.objects.exists()
    tablet.set_network(is_on=True)
    expect(waiting(tablet)).to_be_hidden()
    tablet.page.get_by_text("More", exact=True).click()
    tablet.page.get_by_role("button", name="Sent from this tablet").click()
    tablet.page.get_by_text("Sent and dropped on this tablet").click()
    link = tablet.page.get_by_role("link", name="Open what came of it")
    expect(link).to_have_attribute("href", f"{Printing.objects.get().get_absolute_url()}sheet.pdf")
    tablet.look("what was sent")
    assert tablet.violations == []


def load_without_network(tablet, run, lot):
    """Open the form, lose the network, and load 1.5 kg all the same: it waits."""
    tablet.page.goto(f"{tablet.address}{run.get_absolute_url()}load/?from={lot.code}&chosen=1")
    tablet.set_network(is_on=False)
    tablet.page.locator("main [name=mass]").fill("1.5")
    tablet.page.get_by_role("button", name="Load", exact=True).click()
    expect(waiting(tablet)).to_contain_text("waiting: 1")


def test_a_mass_that_waits_keeps_the_unit_in_which_it_was_typed(tablet, lot, settings):
    run = make_run(make_person("operator", "operator-two"), "granulate")
    sign_in(tablet, "operator-one")
    load_without_network(tablet, run, lot)
    settings.MASS_UNITS = "imperial"
    tablet.set_network(is_on=True)
    expect(waiting(tablet)).to_be_hidden()
    assert Load.objects.get().mass_mg == 1.5 * KG


def test_what_was_sent_is_seen_at_once_on_a_page_that_was_kept(tablet, lot):
    run = make_run(make_person("operator", "operator-two"), "granulate")
    overview = f"{run.get_absolute_url()}load/"
    sign_in(tablet, "operator-one")
    until(lambda: tablet.page.evaluate(KEPT, overview))
    load_without_network(tablet, run, lot)
    tablet.page.goto(tablet.address + overview)
    expect(tablet.page.locator("[data-waiting-seen]")).to_be_visible()
    expect(tablet.page.locator("main")).not_to_contain_text("1.5 kg")
    tablet.set_network(is_on=True)
    expect(tablet.page.locator(".messages")).to_contain_text("All that waited is sent.")
    expect(tablet.page.locator("main")).to_contain_text("1.5 kg")
    expect(tablet.page.locator("[data-waiting-seen]")).to_be_hidden()
    assert Load.objects.get().mass_mg == 1.5 * KG
    assert tablet.violations == []


def test_a_kept_page_shows_what_is_so_now_once_the_network_is_back(tablet, lot):
    sign_in(tablet, "operator-one")
    until(lambda: tablet.page.evaluate(KEPT, lot.bin.get_absolute_url()))
    tablet.set_network(is_on=False)
    tablet.page.goto(tablet.address + lot.bin.get_absolute_url())
    expect(tablet.page.locator("[data-waiting-seen]")).to_be_visible()
    tablet.set_network(is_on=True)
    expect(tablet.page.locator("[data-waiting-seen]")).to_be_hidden()


def test_a_form_that_somebody_is_filling_in_is_left_alone_when_what_waited_is_sent(tablet, lot):
    run = make_run(make_person("operator", "operator-two"), "granulate")
    sign_in(tablet, "operator-one")
    load_without_network(tablet, run, lot)
    tablet.page.locator("main [name=mass]").fill("2.5")
    tablet.set_network(is_on=True)
    expect(tablet.page.locator(".messages")).to_contain_text("All that waited is sent.")
    expect(tablet.page.locator("main [name=mass]")).to_have_value("2.5")


def test_what_an_entry_was_first_refused_for_is_gone_once_it_waits(tablet, lot):
    run = make_run(make_person("operator", "operator-two"), "granulate")
    sign_in(tablet, "operator-one")
    tablet.page.goto(f"{tablet.address}{run.get_absolute_url()}load/?from={lot.code}&chosen=1")
    mass = tablet.page.locator("main [name=mass]")
    mass.fill("abc")
    tablet.page.get_by_role("button", name="Load", exact=True).click()
    expect(tablet.page.locator("main .errorlist")).to_contain_text("Enter a mass")
    tablet.set_network(is_on=False)
    mass.fill("1.5")
    tablet.page.get_by_role("button", name="Load", exact=True).click()
    expect(waiting(tablet)).to_contain_text("waiting: 1")
    expect(tablet.page.locator("main .errorlist")).to_have_count(0)
    expect(mass).to_have_value("")


# A locked bench


def at_bench(tablet):
    sign_in(tablet, "Bench")
    tablet.page.get_by_role("link", name="operator-one").click()
    tablet.page.locator("[name=pin]").fill(PIN)
    tablet.page.get_by_role("button", name="Start", exact=True).click()
    tablet.page.wait_for_selector(".top-bar-person")


def lock(tablet):
    tablet.page.locator("[data-lock-now] button").click()
    return tablet.page.locator("dialog[data-lock]")


def go_on(box, pin=PIN):
    box.locator("[name=pin]").fill(pin)
    box.get_by_role("button", name="Go on", exact=True).click()


AWAY = {
    "a hotel's sign-in page": {"status": 200, "content_type": "text/html", "body": "Welcome"},
    "a gateway without its server": {"status": 502, "content_type": "text/html", "body": "away"},
}


@pytest.mark.parametrize("answer", AWAY.values(), ids=AWAY)
def test_what_is_not_the_workshop_opens_no_lock_and_counts_as_no_network(tablet, lot, answer):
    at_bench(tablet)
    tablet.page.route("**/bench/**", lambda route: route.fulfill(**answer))
    box = lock(tablet)
    go_on(box, "0000")
    expect(box.get_by_role("alert")).to_contain_text("No network")
    assert box.is_visible()
    box.get_by_role("button", name="No network: go on as").click()
    expect(box).to_be_hidden()


def test_a_wi_fi_that_lets_nothing_through_is_given_up_after_seconds(tablet, lot):
    tablet.page.clock.install()
    at_bench(tablet)
    tablet.page.route("**/bench/**", lambda _route: None)
    box = lock(tablet)
    go_on(box)
    tablet.page.clock.run_for(7000)
    expect(box.get_by_role("alert")).to_contain_text("No network")


def test_a_lock_that_the_server_did_not_hear_is_told_again(tablet, lot):
    at_bench(tablet)
    tablet.set_network(is_on=False)
    box = lock(tablet)
    expect(box).to_be_visible()
    assert Turn.objects.get().ended_at is None
    tablet.set_network(is_on=True)
    until(lambda: Turn.objects.get().ended_at)


def test_a_kept_page_stays_locked_when_it_is_opened_again_without_network(tablet, lot):
    at_bench(tablet)
    page = lot.bin.get_absolute_url()
    until(lambda: tablet.page.evaluate(KEPT, page))
    tablet.set_network(is_on=False)
    expect(lock(tablet)).to_be_visible()
    tablet.page.goto(tablet.address + page)
    box = tablet.page.locator("dialog[data-lock]")
    expect(box).to_be_visible()
    go_on(box)
    box.get_by_role("button", name="No network: go on as").click()
    tablet.page.goto(tablet.address + page)
    tablet.page.wait_for_load_state()
    expect(tablet.page.locator("[data-waiting-seen]")).to_be_visible()
    assert box.is_hidden()
