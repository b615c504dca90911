"""Labels at the tablet: ticked in a list, begun at a tapped label, printed, read, replaced."""

import pypdfium2
import pytest
import zxingcpp
from django.contrib.auth.models import User
from playwright.sync_api import expect

from products.models import Label, Printing
from tests.factories.grids import GridFactory
from tests.factories.inventory import make_full_bin
from tests.factories.people import make_person

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-one"),
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def bins():
    """Two bins that hold something, a sheet of 24 labels and one of 8."""
    by = make_person("operator", "operator-one")
    GridFactory(name="A sheet of 24")
    GridFactory(name="B sheet of 8", rows=4, columns=2)
    return [make_full_bin(by, bin_fields={"name": name})[0] for name in ("T-90", "T-91")]


def log_in(tablet):
    tablet.sign_in(User.objects.get())


def begin_at_the_third(tablet):
    tablet.pick("grid", "B sheet of 8")
    expect(tablet.page.locator(".sheet-place")).to_have_count(8)
    tablet.page.locator(".sheet-place").nth(2).click()
    tablet.page.wait_for_url("**start=3")
    tablet.look("third label")


def printed(tablet):
    with tablet.page.expect_response("**/sheet.pdf"):
        tablet.page.locator("button[form=print-form]").click()
    sheet = tablet.address + f"/labels/printings/{Printing.objects.get().uuid}/sheet.pdf"
    return tablet.page.context.request.get(sheet).body()


def read(pdf):
    picture = pypdfium2.PdfDocument(pdf)[0].render(scale=300 / 72).to_pil()
    return {found.text for found in zxingcpp.read_barcodes(picture)}


def test_two_bins_get_their_labels(tablet, bins, settings):
    log_in(tablet)
    tablet.open("/labels/")
    tablet.open("/labels/choose/bin/")
    for bin in bins:
        tablet.page.locator(f"input[value='{bin.code}']").check()
    tablet.tap("Print the ticked")
    begin_at_the_third(tablet)
    assert read(printed(tablet)) == {f"{settings.SITE_URL}/q/{bin.code}" for bin in bins}
    assert Printing.objects.get().start == 3

    label = Label.objects.get(code=bins[0].code)
    tablet.open(label.get_absolute_url())
    tablet.tap("Replace", "link")
    tablet.fill("reason", "torn off")
    tablet.page.get_by_role("button", name="Replace the label").click()
    tablet.page.wait_for_url(lambda url: "replace" not in url)
    tablet.look("replaced")
    label.refresh_from_db()
    assert label.replaced_by.get_absolute_url() in tablet.page.url
    assert tablet.violations == []
    assert [error for error in tablet.errors if "404" not in error] == []
