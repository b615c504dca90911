"""A run at the tablet, stage by stage: what it costs in scans and taps, what is asked back, what is refused."""

from dataclasses import dataclass

import pytest

from inventory.models import Posting
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    colour,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.people import make_person
from tests.factories.workshop import DesignFactory, MachineFactory, ToolingFactory, make_run
from tests.journeys.browsing import Tablet
from workshop.models import Load, Run, Yield

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-one"),
    pytest.mark.django_db(transaction=True),
]
REFUSED = "status of 422"  # the browser's own word on a form that was refused


@dataclass
class Thumb:
    """Somebody at the tablet, whose scans, masses and taps are counted."""

    tablet: Tablet
    scans: int = 0
    masses: int = 0
    taps: int = 0
    name: str = ""

    @property
    def page(self):
        return self.tablet.page

    def scan(self, code: str) -> None:
        """Let a hand scanner read a code: fast keys that end in Enter."""
        self.scans += 1
        with self.page.expect_navigation():
            self.page.keyboard.type(code, delay=5)
            self.page.keyboard.press("Enter")
        self.look(f"scanned-{code}")

    def key_in(self, figure: str) -> None:
        """Type a mass on the large keys; it counts as one mass, however many keys it has."""
        self.masses += 1
        for key in figure:
            self.page.locator(f"[data-keypad] [data-key='{key}']").click()

    def tap(self, name: str, role: str = "button") -> None:
        """Tap what leads on, and look at where that leads."""
        self.taps += 1
        with self.page.expect_navigation():
            self.page.get_by_role(role, name=name, exact=True).first.click()
        self.look(name)

    def look(self, name: str) -> None:
        self.page.wait_for_load_state()
        self.tablet.look(f"{self.name} {name}")

    def count(self) -> tuple[int, int, int]:
        """Return scans, masses and taps since the last count."""
        counted = (self.scans, self.masses, self.taps)
        self.scans = self.masses = self.taps = 0
        return counted


@pytest.fixture
def by():
    return make_person("operator", "operator-one")


@pytest.fixture
def floor(by):
    """Three bins of flake, one for offcuts, a press with a frame for 5 kg, and a board of 3.6 kg."""
    ScaleFactory(name="floor scale", resolution_mg=10_000)
    kept = {"polymer": polymer("PE-HD"), "colour": colour("mixed")}
    for name, shade in {"B-01": "blue", "B-02": "red", "B-03": "white"}.items():
        make_delivery(by, bin=BinFactory(name=name, tare_mg=KG), colour=shade)
    make_full_bin(by, form="offcut", colour="red", bin_fields={"name": "C-01", **kept})
    make_full_bin(by, polymer="PP", form="offcut", bin_fields={"name": "C-02"})
    design = DesignFactory(name="Board 600 x 600 x 10", nominal_mass_mg=3_600_000)
    press = MachineFactory(name="Sheet press", kind="press")
    frame = ToolingFactory(name="Frame", kind="frame", capacity_mg=5 * KG)
    return make_run(by, design=design, machine=press, tooling=frame, planned_pieces=1)


@pytest.fixture
def thumb(request, slow_tablet, floor):
    slow_tablet.sign_in(floor.operator)
    return Thumb(slow_tablet, name=request.node.callspec.params["slow_tablet"])


def load_three_bins(thumb, run):
    thumb.tablet.page.goto(f"{thumb.tablet.address}{run.get_absolute_url()}load/")
    thumb.look("load")
    for name, figure in {"B-01": "1.2", "B-02": "1.3", "B-03": "1.2"}.items():
        thumb.scan(name)
        thumb.key_in(figure)
        thumb.tap("Load")


def sound(thumb):
    assert thumb.tablet.violations == []
    assert [said for said in thumb.tablet.errors if REFUSED not in said] == []


def test_three_bins_cost_three_scans_three_masses_three_taps(thumb, floor):
    load_three_bins(thumb, floor)
    assert thumb.count() == (3, 3, 3)
    assert list(Load.objects.values_list("mass_mg", flat=True)) == [
        1_200_000, 1_300_000, 1_200_000,
    ]  # fmt: skip
    assert thumb.page.evaluate("document.activeElement.name") == "from"
    sound(thumb)


def test_a_run_from_loading_to_closing(thumb, floor):
    load_three_bins(thumb, floor)
    thumb.count()
    thumb.page.goto(f"{thumb.tablet.address}{floor.get_absolute_url()}")
    thumb.look("make is due")
    thumb.tap("Weigh out", "link")
    thumb.tap("Parts counted, each about 3.6\u00a0kg", "link")
    thumb.key_in("1")
    thumb.page.locator("[name=mass]").click()
    thumb.key_in("3.61")
    thumb.page.locator("[name=scale]").select_option(label="floor scale")
    thumb.tap("Weigh out")
    thumb.page.get_by_role("link", name="Offcuts").click()
    thumb.look("offcuts")
    thumb.key_in("0.08")
    thumb.tap("Weigh out")
    made = Yield.objects.get(kind="offcut")
    assert (made.bin.name, made.mass_mg) == ("C-01", 80_000)
    thumb.tap("Close", "link")
    thumb.tap("Name the loss and close")
    assert "Say where it went" in thumb.tablet.text()
    thumb.page.locator("label", has_text="stuck in the machine").click()
    thumb.tap("Name the loss and close")
    assert Run.objects.get().closed_at
    assert Posting.objects.get(kind="close").transfers.get().mass_mg == 10_000
    sound(thumb)


def test_a_slip_is_asked_back_once_and_confirmed_by_one_tap(thumb, floor):
    thumb.page.goto(f"{thumb.tablet.address}{floor.get_absolute_url()}load/?from=B-01")
    thumb.look("how much")
    thumb.key_in("9.2")
    thumb.tap("Load")
    thumb.look("asked back")
    assert "9.2 kg where 3.6 kg is wanted" in thumb.tablet.text()
    assert thumb.page.locator("[name=mass]").input_value() == "9.2"
    assert not Load.objects.exists()
    thumb.tap("Yes, 9.2\u00a0kg is right")
    assert Load.objects.get().mass_mg == 9_200_000
    sound(thumb)


def test_a_bin_weighed_afterwards_and_the_way_is_kept(thumb, floor):
    thumb.page.goto(f"{thumb.tablet.address}{floor.get_absolute_url()}load/?from=B-01")
    thumb.page.locator("label", has_text="the bin afterwards").click()
    thumb.page.locator("[name=mass]").click()
    thumb.look("the bin afterwards")
    thumb.key_in("12.3")
    thumb.tap("Load")
    assert "1.3 kg more in B-01 than the book; count it first" in thumb.tablet.text()
    thumb.page.locator("[name=mass]").fill("9.8")
    thumb.tap("Load")
    assert Load.objects.get().mass_mg == 1_200_000
    thumb.scan("B-02")
    assert thumb.page.locator("[name=way]:checked").get_attribute("value") == "afterwards"
    sound(thumb)


def test_what_does_not_fit_is_refused_at_the_scan(thumb, floor):
    load_three_bins(thumb, floor)
    thumb.page.goto(f"{thumb.tablet.address}{floor.get_absolute_url()}load/?from=C-02")
    thumb.look("wrong polymer")
    assert "takes PE-HD, this is PP" in thumb.tablet.text()
    thumb.page.goto(f"{thumb.tablet.address}{floor.get_absolute_url()}yield/?kind=offcut&bin=C-02")
    thumb.look("wrong bin")
    assert "C-02 takes PP" in thumb.tablet.text()
    sound(thumb)


def test_every_key_and_segment_is_large_enough_for_gloves(thumb, floor):
    thumb.page.goto(f"{thumb.tablet.address}{floor.get_absolute_url()}load/?from=B-01")
    boxes = [each.bounding_box() for each in thumb.page.locator(".keypad-key, .segment").all()]
    assert len(boxes) == 12 + 3 + 2
    assert min(min(box["width"], box["height"]) for box in boxes) >= 64


def test_the_keys_are_the_whole_page_s_keyboard_and_a_keyboard_types_too(thumb, floor):
    thumb.page.goto(f"{thumb.tablet.address}{floor.get_absolute_url()}load/?from=B-01")
    thumb.key_in("12")
    thumb.page.locator("[data-key=back]").click()
    thumb.page.locator("[data-key='.']").click()
    thumb.page.locator("[data-key='.']").click()
    thumb.page.keyboard.type("25", delay=200)
    assert thumb.page.locator("[name=mass]").input_value() == "1.25"
