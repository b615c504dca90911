"""One floor page by the keyboard alone, in the dark, and refused; the walk does so with all of them (WALK=1)."""

import pytest

from tests.factories.inventory import make_full_bin
from tests.factories.people import PASSWORD, make_person
from tests.factories.workshop import make_run
from tests.journeys.browsing import violations
from tests.journeys.keys import walk

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-two"),
    pytest.mark.django_db(transaction=True),
]


def test_a_load_by_the_keyboard_in_the_dark_and_refused(tablet):
    by = make_person("operator", "operator-one")
    _bin, lot = make_full_bin(by, bin_fields={"name": "T-90"})
    run, page = make_run(by), tablet.page
    page.emulate_media(color_scheme="dark")
    page.goto(f"{tablet.address}/login/")
    page.locator("[name=username]").fill("operator-one")
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("main [type=submit]").click()
    page.wait_for_url("**/")
    page.goto(f"{tablet.address}{run.get_absolute_url()}load/?from={lot.code}&chosen=1")
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(238, 235, 228)"
    assert walk(page) == []
    page.locator("main [name=mass]").fill("9999")
    with page.expect_navigation():
        page.get_by_role("button", name="Load", exact=True).click()
    assert "holds only 10.000" in tablet.text()
    assert violations(page) == []


@pytest.mark.parametrize("size", [(800, 1280), (1280, 800), (360, 640)])
def test_the_end_of_the_menu_is_reached_on_every_tablet_and_phone(tablet, size):
    """The menu grows with the program; what is below the edge of the screen has to scroll."""
    page = tablet.page
    page.set_viewport_size({"width": size[0], "height": size[1]})
    tablet.sign_in(make_person("lead", "lead-one"))
    page.goto(f"{tablet.address}/machines/")
    page.get_by_text("More", exact=True).click()
    page.get_by_role("button", name="Log out").click(timeout=3000)
    page.wait_for_url("**/login/")


def test_axe_tells_of_a_picture_that_has_no_words(tablet):
    tablet.page.set_content("<main><img src='data:,'><h1>A picture</h1></main>")
    assert "image-alt" in {found["id"] for found in violations(tablet.page)}
