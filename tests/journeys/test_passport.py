"""A stranger with a phone, and a printer: the public pages in a real browser, with no script of ours."""

import pypdfium2
import pytest

from tests.factories.inventory import BinFactory
from tests.factories.passports import make_full_design, make_mixed_part, make_photo
from tests.factories.people import make_person
from tests.factories.workshop import DesignFactory
from tests.journeys.browsing import violations

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-one"),
    pytest.mark.django_db(transaction=True),
]
PHONE = {"width": 320, "height": 640}
A5_MM = (148, 210)
POINTS_PER_MM = 72 / 25.4


@pytest.fixture
def codes(settings):
    """A part with few words, one with as many as its form takes, a bin, and a code of nothing."""
    settings.WORKSHOP_PLACE = "Millbrook"
    settings.WORKSHOP_RETURNS = "Hand it in at the gate on Tuesdays, or send it back."
    operator = make_person("operator")
    short = make_mixed_part(operator, DesignFactory(name="Stool", care="Wipe it."))
    full = make_mixed_part(operator, make_full_design(is_packaging=True, photo=make_photo(640)))
    return {"short": short.code, "full": full.code, "bin": BinFactory().code, "none": "0" * 12}


@pytest.fixture(params=["light", "dark"])
def phone(request, chromium):
    context = chromium.new_context(viewport=PHONE, color_scheme=request.param)
    yield context.new_page()
    context.close()


@pytest.fixture
def plain_phone(chromium):
    """A phone whose browser runs no script."""
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
    yield context.new_page()
    context.close()


def faults(page):
    return [each["id"] for each in violations(page)]


def test_every_public_page_fits_a_phone_and_passes_axe(phone, codes, live_server):
    found = {}
    for kind, code in codes.items():
        phone.goto(f"{live_server.url}/q/{code}/")
        found[kind] = (faults(phone), phone.evaluate("document.documentElement.scrollWidth"))
    assert found == dict.fromkeys(codes, ([], 320))


def test_a_passport_reads_without_script(plain_phone, codes, live_server):
    plain_phone.goto(f"{live_server.url}/q/{codes['short']}/")
    text = plain_phone.locator("main").inner_text()
    assert "Stool" in text
    assert "70 % recycled material" in text
    assert plain_phone.locator("svg text", has_text="HDPE").is_visible()


def test_a_stranger_types_a_code_without_script(plain_phone, codes, live_server):
    plain_phone.goto(f"{live_server.url}/q/{codes['none']}/")
    plain_phone.fill("[name=code]", codes["short"].lower())
    plain_phone.click("[type=submit]")
    assert plain_phone.locator("h1").inner_text() == "Stool"


@pytest.mark.parametrize("kind", ["short", "full"])
def test_a_passport_prints_on_one_a5(kind, plain_phone, codes, live_server):
    plain_phone.goto(f"{live_server.url}/q/{codes[kind]}/")
    printed = pypdfium2.PdfDocument(plain_phone.pdf(format="A5", prefer_css_page_size=True))
    assert len(printed) == 1
    assert printed[0].get_size() == pytest.approx([mm * POINTS_PER_MM for mm in A5_MM], abs=1)
    text = printed[0].get_textpage().get_text_bounded()
    assert "Not suitable for" in text
    assert "Version 1, issued" in text
