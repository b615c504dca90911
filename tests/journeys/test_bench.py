"""A shared tablet by script and by hand: pick a name, type the PIN on the keys, lock and go on."""

import pytest

from tests.factories.inventory import SourceFactory
from tests.factories.people import PASSWORD, PIN, WRONG, give_pin, make_bench, make_person
from tests.factories.workshop import MachineFactory
from workshop.models import Purge, Turn

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-one"),
    pytest.mark.django_db(transaction=True),
]
NAMES = ["Ada", "Bo", "Chidi", "Dunya", "Emil", "Femke", "Goran", "Hana", "Ines", "Jonas"]


@pytest.fixture
def press():
    make_bench("Bench by the press")
    for name in NAMES:
        person = give_pin(make_person("operator", name.lower()))
        person.first_name = name
        person.save()
    SourceFactory()
    return MachineFactory(name="Sheet press")


def sign_in(tablet):
    tablet.open("/login/")
    tablet.page.locator("[name=username]").fill("Bench by the press")
    tablet.page.locator("[name=password]").fill(PASSWORD)
    tablet.page.locator("[type=submit]").click()
    tablet.page.wait_for_url("**/bench/**")
    tablet.look("bench names")


def tap_pin(tablet, pin, within="main"):
    for digit in pin:
        tablet.page.locator(f"{within} [data-digit='{digit}']").click()


def work_as(tablet, name):
    tablet.tap(name, "link")
    tap_pin(tablet, PIN)
    tablet.page.get_by_role("button", name="Start", exact=True).click()
    tablet.page.wait_for_selector(".top-bar-person")


def lock_of(tablet):
    return tablet.page.locator("dialog[data-lock]")


def open_lock(tablet, pin):
    tap_pin(tablet, pin, "dialog[data-lock]")
    lock_of(tablet).get_by_role("button", name="Go on", exact=True).click()


def purge_page(tablet, press, words):
    tablet.open(f"/machines/{press.pk}/purge/")
    tablet.fill("reason", words)


def told_only_what_was_provoked(tablet):
    """A refused PIN is a 422, which the browser's console repeats."""
    return [error for error in tablet.errors if "422" not in error]


def test_a_name_and_a_pin_of_four_taps_begin_the_work(slow_tablet, press):
    tablet = slow_tablet
    sign_in(tablet)
    tablet.tap("Chidi", "link")
    keys = tablet.page.locator(".pin-key")
    sizes = [keys.nth(number).bounding_box() for number in range(keys.count())]
    assert len(sizes) == 12
    assert min(min(size["width"], size["height"]) for size in sizes) >= 64
    tap_pin(tablet, WRONG)
    tablet.tap("Start")
    assert "This PIN does not fit" in tablet.text()
    tap_pin(tablet, PIN)
    tablet.tap("Start")
    assert "Chidi" in tablet.page.locator(".top-bar").inner_text()
    tablet.open("/machines/")
    assert tablet.violations == []
    assert told_only_what_was_provoked(tablet) == []


def test_five_wrong_pins_lock_out_and_say_so(tablet, press):
    sign_in(tablet)
    tablet.tap("Bo", "link")
    for _ in range(5):
        tap_pin(tablet, WRONG)
        tablet.page.get_by_role("button", name="Start", exact=True).click()
        tablet.page.wait_for_load_state()
    tablet.look("bench locked out")
    assert "Too many wrong PINs; wait 5 minutes" in tablet.text()
    assert tablet.violations == []


def test_the_lock_lies_over_what_was_typed_and_gives_it_back(tablet, press):
    sign_in(tablet)
    work_as(tablet, "Ada")
    purge_page(tablet, press, "run empty, then 2 kg")
    tablet.page.get_by_role("button", name="Ada lock").click()
    tablet.look("bench overlay")
    tablet.page.keyboard.press("Escape")
    assert lock_of(tablet).is_visible()
    open_lock(tablet, WRONG)
    tablet.page.get_by_text("This PIN does not fit").wait_for()
    tablet.look("bench overlay wrong")
    open_lock(tablet, PIN)
    lock_of(tablet).wait_for(state="hidden")
    assert tablet.page.locator("[name=reason]").input_value() == "run empty, then 2 kg"
    tablet.page.get_by_role("button", name="Write down the purge").click()
    tablet.page.wait_for_url(f"**/machines/{press.pk}/")
    assert (Purge.objects.get().by.username, Turn.objects.count()) == ("ada", 2)
    assert tablet.violations == []
    assert told_only_what_was_provoked(tablet) == []


def test_nobody_touches_the_tablet_and_it_locks(tablet, press, settings):
    settings.IDLE_LOCK_MINUTES = 0.05
    sign_in(tablet)
    work_as(tablet, "Ada")
    purge_page(tablet, press, "half a sentence")
    lock_of(tablet).wait_for(state="visible", timeout=15_000)
    tablet.page.wait_for_timeout(500)
    assert Turn.objects.get().ended_at
    open_lock(tablet, PIN)
    lock_of(tablet).wait_for(state="hidden")
    assert tablet.page.locator("[name=reason]").input_value() == "half a sentence"


def test_somebody_else_goes_to_a_fresh_page(tablet, press):
    sign_in(tablet)
    work_as(tablet, "Ada")
    purge_page(tablet, press, "of Ada")
    tablet.page.get_by_role("button", name="Ada lock").click()
    tablet.tap("Somebody else: leave this page", "link")
    work_as(tablet, "Bo")
    tablet.open(f"/machines/{press.pk}/purge/")
    assert tablet.page.locator("[name=reason]").input_value() == ""
    assert not Purge.objects.exists()


def test_without_network_the_page_says_so_and_lets_its_person_go_on(tablet, press):
    sign_in(tablet)
    work_as(tablet, "Ada")
    purge_page(tablet, press, "typed before")
    tablet.set_network(is_on=False)
    tablet.page.get_by_role("button", name="Ada lock").click()
    open_lock(tablet, PIN)
    alert = lock_of(tablet).get_by_role("alert")
    alert.get_by_text("No network: the PIN cannot be checked").wait_for()
    tablet.look("bench overlay no network")
    tablet.page.get_by_role("button", name="No network: go on as Ada").click()
    assert tablet.page.locator("[name=reason]").input_value() == "typed before"
    tablet.set_network(is_on=True)


def test_without_script_what_was_typed_waits_for_the_pin(chromium, live_server, press):
    context = chromium.new_context(
        viewport={"width": 800, "height": 1280}, java_script_enabled=False
    )
    page = context.new_page()
    page.goto(f"{live_server.url}/login/")
    page.locator("[name=username]").fill("Bench by the press")
    page.locator("[name=password]").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    begin_without_script(page)
    page.goto(f"{live_server.url}/machines/{press.pk}/purge/")
    page.locator("[name=reason]").fill("typed too late")
    Turn.objects.all().delete()
    page.get_by_role("button", name="Write down the purge").click()
    assert "what was typed is kept" in page.inner_text("body")
    begin_without_script(page)
    assert "typed too late" in page.inner_text("main")
    page.get_by_role("button", name="Send it now").click()
    assert Purge.objects.get().note == "typed too late"
    context.close()


def begin_without_script(page):
    page.get_by_role("link", name="Dunya").click()
    page.locator("[name=pin]").fill(PIN)
    page.get_by_role("button", name="Start").click()
