"""Scanning at the tablet: a hand scanner in any field, photos, what was scanned last."""

from itertools import product

import pytest
from playwright.sync_api import expect

from inventory.models import Posting
from tests.factories.inventory import KG, BinFactory, make_full_bin
from tests.factories.label_photos import as_bytes, label_photo, on_bench, printed
from tests.factories.people import make_person
from tests.factories.workshop import load, make_run
from tests.journeys.scanners import HandScanner

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-two"),
    pytest.mark.django_db(transaction=True),
]
PATIENT = """() => {
  const wait = window.setTimeout;
  window.setTimeout = (act, ms, ...more) => wait(act, 50 * ms, ...more);
}"""


@pytest.fixture
def person():
    return make_person("operator", "operator-one")


@pytest.fixture
def full(person):
    """A bin with 10 kg."""
    return make_full_bin(person, bin_fields={"name": "T-90"})


@pytest.fixture
def other():
    return BinFactory(name="T-91", place="offcut wall")


@pytest.fixture
def floor(tablet, person):
    """The tablet with somebody signed in, and no page open yet."""
    tablet.sign_in(person)
    yield tablet
    assert tablet.violations == []


@pytest.fixture
def scanner(floor):
    return HandScanner(floor.page)


@pytest.fixture
def home(floor):
    """The first page, open."""
    floor.open("/")
    return floor


@pytest.fixture
def mass(floor, full, other):
    """The mass field of a move that somebody has begun to fill in; it has the focus."""
    floor.open(f"/lots/{full[1].code}/move/")
    return begun(floor)


def begun(floor):
    """Type into the mass field of the move that is open, and return it."""
    field = floor.page.locator("main [name=mass]")
    field.fill("2.5")
    return field


def begun_anew(floor):
    """Open the same move once more and begin to fill it in."""
    floor.page.reload()
    return begun(floor)


def said(floor):
    return floor.page.locator("[data-scan-said]")


def address(bin):
    return f"http://localhost:8000/q/{bin.code}"


def assert_taken(floor, mass, bin):
    """The bin is the target of the move, the mass is as it was, and nothing was sent."""
    expect(said(floor)).to_have_text(f"{bin.name} is chosen.")
    assert floor.page.locator("main [name=bin]:checked").get_attribute("value") == bin.code
    assert mass.input_value() == "2.5"
    assert Posting.objects.count() == 1


def test_a_scan_into_a_mass_is_no_mass(floor, scanner, mass, other):
    for gap_ms, end in product([2, 12, 40], ["Enter", "Tab", ""]):
        field = begun_anew(floor)
        scanner.type(address(other), gap_ms=gap_ms, end=end)
        assert_taken(floor, field, other)


def test_a_name_scanned_into_a_mass_is_no_mass(floor, scanner, mass, other):
    scanner.type("T-91")
    assert_taken(floor, mass, other)
    floor.look("a scan in a mass field")


def test_a_code_of_digits_scanned_into_a_mass_is_no_mass(floor, scanner, mass):
    BinFactory(name="T-92", code="123456789012")
    scanner.type("123456789012", gap_ms=20)
    expect(said(floor)).to_contain_text("T-92 is")
    assert mass.input_value() == "2.5"


def test_a_scan_with_its_own_prefix_and_suffix_is_taken(floor, scanner, full, other, settings):
    settings.SCANNER_PREFIX, settings.SCANNER_SUFFIX = "~", "#"
    floor.open(f"/lots/{full[1].code}/move/")
    field = begun(floor)
    scanner.type("~T-91#", gap_ms=30, end="")
    assert_taken(floor, field, other)


def test_what_a_terminal_inserts_in_one_piece_is_taken(floor, mass, other):
    floor.page.keyboard.insert_text(address(other))
    assert_taken(floor, mass, other)


def test_on_a_slow_tablet_a_scan_is_still_one(floor, scanner, mass, other):
    """Silence takes longer here: where the machine is busy, keys come later than their own times say."""
    floor.page.evaluate(PATIENT)
    scanner.session.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    scanner.type(address(other), gap_ms=8)
    assert_taken(floor, mass, other)


def test_what_a_person_types_is_a_mass(floor, scanner, mass):
    for gap_ms in (90, 140, 250):
        field = begun_anew(floor)
        scanner.type("0001234", gap_ms=gap_ms, end="")
        assert field.input_value() == "2.50001234"
        assert said(floor).inner_text() == ""


def test_a_mass_typed_at_once_is_a_mass(floor, scanner, mass):
    mass.fill("")
    scanner.type("12.345", gap_ms=10, end="Tab")
    assert mass.input_value() == "12.345"
    assert said(floor).inner_text() == ""


def test_a_held_key_is_no_scan(floor, scanner, mass):
    for number in range(12):
        told = {"type": "keyDown", "key": "1", "text": "1", "autoRepeat": number > 0}
        scanner.session.send("Input.dispatchKeyEvent", told)
    assert mass.input_value() == "2.5" + 12 * "1"


def test_a_person_who_types_a_name_and_enter_sends_the_form(floor, scanner, full, other):
    floor.open(f"/lots/{full[1].code}/move/")
    floor.page.locator("main [name=other]").focus()
    scanner.type("T-91", gap_ms=120)
    floor.page.wait_for_url(f"**{other.get_absolute_url()}")
    assert Posting.objects.count() == 2


def test_a_password_is_never_a_scan(tablet, scanner):
    tablet.page.goto(tablet.address + "/admin/password_change/")
    tablet.page.goto(tablet.address + "/login/")
    field = tablet.page.locator("[name=password]")
    field.focus()
    HandScanner(tablet.page).type("ABCDEFGHJKMN", end="")
    assert field.input_value() == "ABCDEFGHJKMN"


def test_a_scan_beside_any_field_opens_its_thing(floor, scanner, full):
    floor.open("/bins/")
    scanner.type(address(full[0]), gap_ms=20)
    floor.page.wait_for_url(f"**{full[0].get_absolute_url()}")


def test_a_scan_over_a_button_presses_it_not(floor, scanner, full):
    floor.open(f"/lots/{full[1].code}/hold/")
    floor.page.locator("main [name=reason]").fill("wet")
    floor.page.get_by_role("button", name="Put").first.focus()
    scanner.type("T-90")
    expect(said(floor)).to_contain_text("T-90 is a bin.")
    assert not full[1].holds.exists()


def test_what_is_typed_and_not_sent_is_never_left(floor, scanner, full, other):
    floor.open(f"/lots/{full[1].code}/hold/")
    floor.page.locator("main [name=reason]").fill("smells of petrol")
    scanner.type("T-91")
    expect(said(floor)).to_contain_text("What is typed on this page is not sent yet")
    floor.look("typed and not sent")
    assert floor.page.locator("main [name=reason]").input_value() == "smells of petrol"
    said(floor).get_by_role("link").click()
    floor.page.wait_for_url(f"**{other.get_absolute_url()}")


def test_what_does_not_fit_a_field_is_told(floor, scanner, mass, person):
    run = make_run(person)
    scanner.type(run.number)
    expect(said(floor)).to_contain_text(
        f"{run.number} is a run. It cannot be used as “Another bin”."
    )
    floor.look("a scan that does not fit")
    assert mass.input_value() == "2.5"


def test_somebody_elses_code_is_told_and_nothing_is_left(floor, scanner, mass):
    scanner.type("https://elsewhere.example/offer?of=the-day")
    expect(said(floor)).to_contain_text("leads to elsewhere.example, not into this workshop")
    assert mass.input_value() == "2.5"
    assert floor.page.url.startswith(floor.address)


def test_a_bin_is_filled_into_a_delivery(floor, scanner, other):
    floor.open("/deliveries/new/")
    floor.page.locator("main [name=net]").focus()
    scanner.type(address(other))
    expect(floor.page.locator("main [name=bin]")).to_have_value("T-91")
    assert floor.page.locator("main [name=net]").input_value() == ""


def test_a_bin_at_a_run_is_loaded_from_with_no_tap(floor, scanner, full, person):
    run = make_run(person)
    floor.open(run.get_absolute_url())
    scanner.type(address(full[0]))
    floor.page.wait_for_url(f"**/runs/{run.code}/load/?from={full[0].code}")


def test_a_bin_at_a_loaded_run_is_yielded_into_with_no_tap(floor, scanner, full, other, person):
    run = make_run(person)
    load(run, full[1], person, 2 * KG)
    floor.open(run.get_absolute_url())
    scanner.type(address(other))
    floor.page.wait_for_url(f"**/runs/{run.code}/yield/?kind=offcut&bin={other.code}")


def test_a_bin_scanned_while_weighing_out_is_chosen_and_the_mass_stays(
    floor, scanner, full, other, person
):
    run = make_run(person)
    load(run, full[1], person, 2 * KG)
    floor.open(f"/runs/{run.code}/yield/?kind=offcut")
    floor.page.locator("main [name=mass]").fill("0.14")
    scanner.type(address(other))
    expect(said(floor)).to_have_text("T-91 is chosen.")
    assert floor.page.locator("main [name=where]:checked").get_attribute("value") == other.code
    assert floor.page.locator("main [name=mass]").input_value() == "0.14"


def test_a_bin_that_was_not_offered_is_filled_in_as_another(floor, scanner, full, person):
    run, (strange, _lot) = make_run(person), make_full_bin(person, polymer="PP")
    load(run, full[1], person, 2 * KG)
    floor.open(f"/runs/{run.code}/yield/?kind=offcut")
    scanner.type(address(strange))
    expect(said(floor)).to_contain_text(f"{strange.name} is filled in as “Another bin”.")
    assert floor.page.locator("main [name=where]:checked").get_attribute("value") == "other"
    assert floor.page.locator("main [name=other]").input_value() == strange.name


def test_without_network_a_scan_fills_its_field_and_says_so(floor, scanner, mass, other):
    floor.set_network(is_on=False)
    scanner.type("T-91")
    expect(floor.page.locator("main [name=other]")).to_have_value("T-91")
    expect(said(floor)).to_contain_text("without network nobody can say what it is")
    assert mass.input_value() == "2.5"


def test_a_typed_code_on_a_page_with_a_field_for_it_is_filled_in(floor, mass, other):
    floor.page.locator("[data-scan-field]").fill("t91")
    floor.page.keyboard.press("Enter")
    assert_taken(floor, mass, other)


def send_photo(floor, photo):
    floor.page.locator(".scan-panel-title").click()
    file = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": photo}
    floor.page.locator(".top-bar [name=photo]").set_input_files(file)


def test_a_photo_opens_what_it_shows(home, floor, full):
    send_photo(floor, as_bytes(label_photo(full[0].code, size=(3000, 2000), turn=20)))
    floor.page.wait_for_url(f"**{full[0].get_absolute_url()}")


def test_a_photo_fills_the_field_that_waits(floor, mass, other):
    send_photo(floor, as_bytes(label_photo(other.code)))
    assert_taken(floor, mass, other)


def test_of_several_codes_in_a_photo_one_is_chosen(home, floor, full, other):
    send_photo(floor, as_bytes(on_bench(printed(full[0].code), printed(other.code))))
    floor.page.get_by_role("button", name="T-91").wait_for()
    floor.look("several codes in a photo")
    floor.page.get_by_role("button", name="T-91").click()
    floor.page.wait_for_url(f"**{other.get_absolute_url()}")


def test_a_photo_that_helps_nobody_is_told(home, floor):
    strange = as_bytes(label_photo("ABCDEFGHJKMN"))
    for photo, says in ((strange, "nothing in this book"), (b"x", "This is no photo")):
        floor.page.reload()
        send_photo(floor, photo)
        expect(floor.page.locator(".scan-photo [data-scan-say]")).to_contain_text(says)
        floor.look(f"photo {says}")


def test_the_last_scans_are_a_tap_away(floor, scanner, full, other):
    for bin in (full[0], other):
        floor.page.goto(f"{floor.address}/q/{bin.code}/")
    floor.open("/bins/")
    floor.page.locator(".scan-panel-title").click()
    floor.look("last scans")
    floor.page.locator(".scan-recent-link", has_text="T-90").click()
    floor.page.wait_for_url(f"**{full[0].get_absolute_url()}")


def test_the_panel_opens_within_the_screen(floor):
    for width, height in ((390, 800), (800, 1280), (1280, 800)):
        floor.page.set_viewport_size({"width": width, "height": height})
        floor.open("/bins/")
        floor.page.locator(".scan-panel-title").click()
        frame = floor.page.locator(".scan-panel-body").bounding_box()
        assert 0 <= frame["x"] <= frame["x"] + frame["width"] <= width
        assert 0 < frame["y"] <= frame["y"] + frame["height"] <= height
        floor.look(f"panel {width}")


def test_without_script_a_photo_is_read_too(chromium, live_server, floor, full):
    context = chromium.new_context(
        java_script_enabled=False, viewport={"width": 800, "height": 1280}
    )
    context.add_cookies(floor.page.context.cookies())
    page = context.new_page()
    page.goto(live_server.url + "/bins/")
    page.locator(".scan-panel-title").click()
    file = {
        "name": "a.jpg",
        "mimeType": "image/jpeg",
        "buffer": as_bytes(label_photo(full[0].code)),
    }
    page.locator(".top-bar [name=photo]").set_input_files(file)
    page.get_by_role("button", name="Read the photo").click()
    page.wait_for_url(f"**{full[0].get_absolute_url()}")
    context.close()
