"""Tablets whose network dies: nothing typed is lost, and everything is booked once and only once."""

import re
from contextlib import suppress
from time import monotonic, sleep

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Error, expect

from inventory.models import Delivery, Posting
from tests.factories.inventory import KG, SourceFactory, make_full_bin
from tests.factories.passports import make_photo
from tests.factories.people import make_person
from tests.factories.workshop import make_run
from tests.journeys.browsing import Tablet
from tests.journeys.conftest import BROWSER, FLAGS
from workshop.models import Load

pytestmark = [
    pytest.mark.browser,
    pytest.mark.xdist_group("browser-two"),
    pytest.mark.django_db(transaction=True),
]
PATIENCE_MS = 30_000  # a busy machine is slow to open a first page
expect.set_options(timeout=10_000)
SIZE = {"viewport": {"width": 800, "height": 1280}, "has_touch": True}
ACTS = 25  # on each of two tablets
KEPT = """async (path) => {
  for (const name of await caches.keys()) {
    if (await (await caches.open(name)).match(path)) return true;
  }
  return false;
}"""


@pytest.fixture
def book():
    """A run that takes anything, and two full bins."""
    one, two = make_person("operator", "operator-one"), make_person("operator", "operator-two")
    run = make_run(one, "granulate")
    lots = [
        make_full_bin(by, bin_fields={"name": name})[1]
        for by, name in ((one, "T-90"), (two, "T-91"))
    ]
    SourceFactory(name="Hill school")
    return {
        "by": one,
        "run": run,
        "lots": lots,
        "loads": [f"/runs/{run.code}/load/?from={lot.code}&chosen=1" for lot in lots],
    }


@pytest.fixture
def start(chromium, live_server):
    """Start a browser with a profile of its own, as a tablet has."""
    running = []

    def opened(folder, *, address=live_server.url, args=(), **more):
        context = chromium.browser_type.launch_persistent_context(
            folder, executable_path=BROWSER, args=[*FLAGS, *args], **SIZE, **more
        )
        running.append(context)
        page = context.pages[0]
        page.set_default_timeout(PATIENCE_MS)
        return Tablet(page, address)

    yield opened
    for context in running:
        with suppress(Error):
            context.close()


def log_in(tablet, name):
    tablet.sign_in(User.objects.get(username=name))
    tablet.page.goto(tablet.address)


@pytest.fixture
def tablet_with(chromium, live_server):
    """Make a tablet in a context of its own, with options of Playwright's."""
    contexts = []

    def made(**options):
        context = chromium.new_context(**SIZE, **options)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        return Tablet(page, live_server.url)

    yield made
    for context in contexts:
        context.close()


def visit_once(tablet, name, *paths):
    """Log in, and let the worker keep what is open."""
    log_in(tablet, name)
    for path in paths:
        until(lambda path=path: tablet.page.evaluate(KEPT, path))


def until(is_so, seconds=15):
    """Wait for something that the page does not show."""
    end = monotonic() + seconds
    while not is_so():
        assert monotonic() < end
        sleep(0.1)


def enter(tablet, mass):
    """Type a mass into the open form and load it; wait until the form is ready for the next."""
    tablet.fill("mass", mass)
    tablet.page.get_by_role("button", name="Load", exact=True).click()


def dialog(tablet):
    return tablet.page.locator("[data-waiting-list]")


def seen(tablet):
    return tablet.page.locator("[data-waiting-seen]").inner_text()


def fill_in_delivery(tablet):
    tablet.page.goto(f"{tablet.address}/deliveries/new/")
    tablet.pick("source", "Hill school")
    tablet.fill("gross", "12.46")
    tablet.fill("tare", "0.46")
    tablet.fill("polymer", "PE-HD")
    tablet.pick("identified_by", "mark on the item")
    tablet.pick("colour", "blue")
    tablet.pick("form", "flake")
    tablet.pick("origin_class", "post-consumer")
    tablet.pick("condition", "clean")
    photo = {"name": "bale.jpg", "mimeType": "image/jpeg", "buffer": make_photo(64).read()}
    tablet.page.locator("main [name=photo]").set_input_files(photo)


def waiting(tablet):
    return tablet.page.locator("[data-waiting-count]")


def enter_without_network(tablet, path, masses):
    tablet.page.goto(tablet.address + path)
    for number, mass in enumerate(masses, start=1):
        enter(tablet, mass)
        expect(waiting(tablet)).to_contain_text(f"waiting: {number}")


def crash(tablet):
    """End the browser at once, as the system does when memory is short."""
    with suppress(Error):
        tablet.page.context.new_cdp_session(tablet.page).send("Browser.crash")


def loaded():
    return sorted(mass for (mass,) in Load.objects.values_list("posting__transfers__mass_mg"))


def test_fifty_acts_of_two_tablets_one_of_them_killed_are_booked_once(start, book, tmp_path):
    masses = [[f"0.{100 * half + number}" for number in range(1, ACTS + 1)] for half in (1, 2)]
    first = start(tmp_path / "one")
    second = start(tmp_path / "two")
    for tablet, name, path in zip(
        (first, second), ("operator-one", "operator-two"), book["loads"], strict=True
    ):
        visit_once(tablet, name, path)
        tablet.set_network(is_on=False)
    enter_without_network(first, book["loads"][0], masses[0])
    assert "without network" in seen(first)
    enter_without_network(second, book["loads"][1], masses[1])
    assert not Load.objects.exists()

    crash(second)
    second = start(tmp_path / "two")
    second.page.goto(f"{second.address}/login/")
    expect(waiting(second)).to_contain_text(f"waiting: {ACTS}")
    first.set_network(is_on=True)
    if second.page.url.endswith("/login/"):
        log_in(second, "operator-two")
    expect(waiting(first)).to_be_hidden(timeout=60_000)
    expect(waiting(second)).to_be_hidden(timeout=60_000)

    assert loaded() == sorted(round(float(mass) * KG) for half in masses for mass in half)
    postings = Posting.objects.filter(kind="load").order_by("pk")
    assert postings.values("uuid").distinct().count() == 2 * ACTS
    for name, half in zip(("operator-one", "operator-two"), masses, strict=True):
        own = postings.filter(by__username=name)
        assert [each.transfers.get().mass_mg for each in own] == [
            round(float(m) * KG) for m in half
        ]
        times = [each.happened_at for each in own]
        assert times == sorted(times)


def test_a_kept_page_says_when_it_was_seen_leads_by_scan_and_never_gives_a_key_twice(
    tablet_with, book
):
    tablet = tablet_with()
    bin = book["lots"][0].bin
    visit_once(tablet, "operator-one", *book["loads"], bin.get_absolute_url())
    tablet.set_network(is_on=False)
    page = tablet.page
    page.goto(tablet.address)
    page.locator("[data-scan-field]").fill("t90")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{bin.get_absolute_url()}")
    assert re.fullmatch(r"As seen at \d\d:\d\d, without network", seen(tablet))
    keys = []
    for _time in (1, 2):
        page.goto(f"{tablet.address}/runs/{book['run'].code}/load/?from=T-90")
        keys.append(page.locator("#load-form [name=key]").input_value())
    assert len(set(keys)) == 2
    page.goto(f"{tablet.address}/sources/")
    assert "Not seen before the network went" in tablet.text()
    tablet.look("not-seen-before")
    assert tablet.violations == []


def test_what_was_kept_for_one_person_is_gone_when_signed_out(tablet_with, book):
    tablet = tablet_with()
    visit_once(tablet, "operator-one", *book["loads"])
    tablet.page.get_by_text("More", exact=True).click()
    tablet.page.get_by_role("button", name="Log out").click()
    tablet.page.wait_for_url("**/login/")
    until(lambda: not tablet.page.evaluate(KEPT, "/"))
    names = tablet.page.evaluate("caches.keys()")
    assert [name for name in names if name.startswith("pages-")] == []


def test_an_entry_waits_for_the_person_who_typed_it(tablet_with, book):
    tablet = tablet_with(service_workers="block")
    log_in(tablet, "operator-one")
    tablet.page.goto(tablet.address + book["loads"][0])
    tablet.set_network(is_on=False)
    enter(tablet, "1.5")
    expect(waiting(tablet)).to_contain_text("waiting: 1")
    tablet.page.context.clear_cookies()
    tablet.set_network(is_on=True)
    expect(waiting(tablet)).to_contain_text("log in to send")
    waiting(tablet).click()
    way = dialog(tablet).get_by_role("link", name="Log in")
    expect(way).to_have_attribute("href", re.compile(r"^/login/\?next=%2Fruns%2F"))
    expect(dialog(tablet).get_by_role("button", name="Send now")).to_be_hidden()
    log_in(tablet, "operator-two")
    waiting(tablet).click()
    expect(dialog(tablet)).to_contain_text("waits until operator-one is logged in")
    assert not Load.objects.exists()
    log_in(tablet, "operator-one")
    until(Load.objects.exists)  # a page that has just opened shows nothing yet of what waits
    expect(waiting(tablet)).to_be_hidden()
    assert Load.objects.get().posting.by.username == "operator-one"


def test_an_answer_that_is_lost_on_the_way_books_once(tablet_with, book):
    tablet = tablet_with(service_workers="block")
    log_in(tablet, "operator-one")
    lost = []

    def book_but_lose_the_answer(route):
        lost.append(route.fetch().status)
        route.abort()

    tablet.page.goto(tablet.address + book["loads"][0])
    tablet.page.route("**/load/**", book_but_lose_the_answer, times=1)
    enter(tablet, "1.5")
    told = re.compile("is kept on this tablet|All that waited is sent")  # as quick as it is sent
    expect(tablet.page.locator(".messages")).to_contain_text(told)
    assert lost == [200]
    expect(waiting(tablet)).to_be_hidden()
    assert loaded() == [1_500_000]


def test_a_refused_entry_holds_back_only_its_own_run_and_is_corrected(tablet_with, book):
    tablet = tablet_with(service_workers="block")
    log_in(tablet, "operator-one")
    other = make_run(book["by"], "granulate")
    third = make_full_bin(book["by"], bin_fields={"name": "T-92"})[1]
    refuse_and_go_on(tablet, book, f"/runs/{other.code}/load/?from={third.code}&chosen=1")
    expect(waiting(tablet)).to_contain_text("waiting: 2 refused: 1")
    assert loaded() == [3 * KG]

    waiting(tablet).click()
    expect(dialog(tablet).locator("[data-state=refused]")).to_contain_text("holds only 10.000 kg")
    tablet.look("refused-entry")
    expect(dialog(tablet)).to_contain_text("waits for an entry above")
    dialog(tablet).get_by_role("button", name="Correct").click()
    expect(tablet.page.locator("[data-waiting-refusal]")).to_contain_text("holds only 10.000 kg")
    assert tablet.page.locator("[name=mass]").input_value() == "90"
    tablet.look("correcting-a-refused-entry")
    enter(tablet, "80")
    expect(tablet.page.locator("[data-waiting-refusal]")).to_be_hidden()
    expect(tablet.page.locator("main")).to_contain_text("holds only 10.000 kg")
    enter(tablet, "4")
    expect(waiting(tablet)).to_be_hidden()
    until(lambda: loaded() == [1 * KG, 3 * KG, 4 * KG])
    assert tablet.violations == []


def test_a_refused_entry_is_dropped_after_being_asked_once(tablet_with, book):
    tablet = tablet_with(service_workers="block")
    log_in(tablet, "operator-one")
    refuse_and_go_on(tablet, book)
    waiting(tablet).click()
    dialog(tablet).get_by_role("button", name="Drop", exact=True).click()
    expect(dialog(tablet)).to_contain_text("It will not be booked")
    tablet.look("dropping-an-entry")
    dialog(tablet).get_by_role("button", name="Drop it").click()
    expect(waiting(tablet)).to_be_hidden()
    assert loaded() == [1 * KG]
    dialog(tablet).get_by_text("Sent and dropped").click()
    expect(dialog(tablet)).to_contain_text("dropped, not booked: Load")
    tablet.look("nothing-waits")
    assert tablet.violations == []


def refuse_and_go_on(tablet, book, elsewhere=""):
    """Type 90 kg out of a bin of 10 without network, 1 kg behind it, and 3 kg into another run."""
    page = tablet.page
    page.goto(tablet.address + book["loads"][0])
    away = page.context.new_page() if elsewhere else None
    if away:
        away.goto(tablet.address + elsewhere)
    tablet.set_network(is_on=False)
    for number, mass in enumerate(("90", "1"), start=1):
        enter(tablet, mass)
        expect(waiting(tablet)).to_contain_text(f"waiting: {number}")
    if away:
        enter(Tablet(away, tablet.address), "3")
        expect(waiting(tablet)).to_contain_text("waiting: 3")
    tablet.set_network(is_on=True)
    expect(waiting(tablet)).to_contain_text("refused: 1")
    if away:
        away.close()


def test_over_plain_http_an_open_page_keeps_photos_and_all(
    start, book, live_server, tmp_path, settings
):
    settings.ALLOWED_HOSTS = ["*"]
    address = live_server.url.replace("localhost", "workshop.test")
    rules = "--host-resolver-rules=MAP workshop.test 127.0.0.1"
    tablet = start(tmp_path / "plain", address=address, args=[rules])
    log_in(tablet, "operator-one")
    page = tablet.page
    assert (
        page.evaluate(
            "[isSecureContext, !!navigator.serviceWorker, !!navigator.locks, !!crypto.randomUUID]"
        )
        == [False] * 4
    )
    fill_in_delivery(tablet)
    tablet.set_network(is_on=False)
    tablet.page.get_by_role("button", name="Accept").click()
    expect(page.locator(".messages")).to_contain_text("Your entry is kept on this tablet")
    tablet.look("kept-without-network")
    waiting(tablet).click()
    expect(dialog(tablet)).to_contain_text("12.46 kg")
    tablet.look("what-waits")
    tablet.set_network(is_on=True)
    expect(waiting(tablet)).to_be_hidden()
    delivery = Delivery.objects.get(source__name="Hill school")
    assert delivery.photo.size
    assert tablet.violations == []


def test_a_browser_that_can_keep_nothing_says_so_and_leaves_the_form_filled_in(tablet_with, book):
    tablet = tablet_with(service_workers="block")
    tablet.page.add_init_script("Object.defineProperty(window, 'indexedDB', {value: undefined})")
    log_in(tablet, "operator-one")
    tablet.page.goto(tablet.address + book["loads"][0])
    tablet.set_network(is_on=False)
    enter(tablet, "1.5")
    expect(tablet.page.locator(".messages")).to_contain_text("this browser can keep nothing")
    assert tablet.page.locator("[name=mass]").input_value() == "1.5"
    tablet.set_network(is_on=True)
    enter(tablet, "1.5")
    until(lambda: loaded() == [1_500_000])
