"""A day at the tablet: log in, receive, put in a bin, make, close, trace; and what goes wrong on the way."""

import pytest
from django.core.management import call_command

from inventory.models import Delivery, Lot, Posting
from inventory.queries.traces import origins_of
from products.models import Part
from tests.factories.inventory import BinFactory, ScaleFactory, SourceFactory, make_full_bin
from tests.factories.people import PASSWORD, make_person
from tests.factories.workshop import DesignFactory, MachineFactory
from workshop.models import Run

pytestmark = [
    pytest.mark.browser,
    pytest.mark.xdist_group("browser-one"),
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def floor():
    make_person("operator", "operator-one")
    SourceFactory(name="Hill school")
    ScaleFactory(name="floor scale", resolution_mg=10_000)
    BinFactory(name="T-90", place="flake rack")
    BinFactory(name="T-91", place="offcut wall")
    MachineFactory(name="Sheet press", kind="press")
    return DesignFactory(name="Board 600 x 600 x 10", nominal_mass_mg=3_438_000)


def log_in(tablet):
    tablet.open("/login/")
    tablet.page.locator("[name=username]").fill("operator-one")
    tablet.page.locator("[name=password]").fill(PASSWORD)
    tablet.page.locator("[type=submit]").click()
    tablet.page.wait_for_url("**/")
    tablet.look("start")


def receive(tablet):
    tablet.open("/deliveries/new/")
    tablet.pick("source", "Hill school")
    tablet.fill("gross", "12.46")
    tablet.fill("tare", "0.46")
    tablet.pick("scale", "floor scale")
    tablet.fill("polymer", "HDPE")
    tablet.pick("identified_by", "mark on the item")
    tablet.pick("colour", "blue")
    tablet.pick("form", "flake")
    tablet.pick("origin_class", "post-consumer")
    tablet.pick("condition", "clean")
    tablet.fill("bin", "T-90")
    tablet.tap("Accept")


def open_a_run(tablet):
    tablet.open("/")
    tablet.tap("Open a run", "link")
    tablet.page.get_by_role("link", name="press").first.click()
    tablet.page.wait_for_load_state()
    tablet.look("open a press run")
    tablet.pick("machine", "Sheet press")
    tablet.pick("design", "Board 600 x 600 x 10")
    tablet.tap("Open the run")


def load(tablet, run, mass):
    tablet.open(f"/runs/{run.code}/load/?from=T-90")
    tablet.fill("mass", mass)
    tablet.pick("scale", "floor scale")
    tablet.tap("Load")


def weigh_out(tablet, run, kind, mass, into="", pieces=""):
    tablet.open(f"/runs/{run.code}/yield/?kind={kind}")
    tablet.fill("mass", mass)
    tablet.pick("scale", "floor scale")
    if pieces:
        tablet.fill("pieces", pieces)
    if into:
        tablet.pick("where", into)
    tablet.tap("Weigh out")


def make_a_board(tablet, run):
    load(tablet, run, "3.6")
    assert "3.6" in tablet.text()
    weigh_out(tablet, run, "part", "3.45", pieces="1")
    weigh_out(tablet, run, "offcut", "0.14", into="T-91")
    tablet.open(f"/runs/{run.code}/close/")
    tablet.tap("Close the run")
    run.refresh_from_db()
    assert run.closed_at


def test_a_sheet_from_delivery_to_trace(slow_tablet, floor):
    tablet = slow_tablet
    log_in(tablet)
    receive(tablet)
    delivery = Delivery.objects.get()
    assert (delivery.net_mg, delivery.polymer.symbol) == (12_000_000, "PE-HD")
    assert "HDPE is written PE-HD" in tablet.page.inner_text("body")

    open_a_run(tablet)
    run = Run.objects.get()
    make_a_board(tablet, run)
    assert Posting.objects.get(kind="close").transfers.get().role == "difference"

    part = Part.objects.get()
    assert [row.lot for row in origins_of(part.lot)] == [delivery.lot]
    tablet.open(part.get_absolute_url())
    tablet.open(f"/trace/{part.code}/")
    assert delivery.number in tablet.text()
    tablet.open(f"/q/{delivery.code}/")
    tablet.open(f"/trace/{delivery.code}/")
    assert "T-91" in tablet.text()
    call_command("verify_ledger", verbosity=0)
    assert tablet.violations == []
    assert tablet.errors == []


def test_a_refused_move_keeps_what_was_typed(slow_tablet, floor):
    tablet = slow_tablet
    by = make_person("operator", "operator-two")
    _bin, lot = make_full_bin(by)
    log_in(tablet)
    tablet.open(f"/lots/{lot.code}/move/")
    tablet.fill("mass", "11.5")
    tablet.pick("bin", "T-90")
    tablet.page.locator("button[form]").last.click()
    tablet.page.wait_for_selector("[role=alert]")
    tablet.look("refused move")
    assert "holds only 10.000 kg" in tablet.text()
    assert tablet.page.locator("[name=mass]").input_value() == "11.5"
    assert Lot.objects.get(pk=lot.pk).out_mg == 0
    assert tablet.violations == []


def test_a_hand_scanner_opens_the_bin_from_any_page(tablet, floor):
    log_in(tablet)
    tablet.open("/runs/")
    tablet.page.keyboard.type("T-91", delay=5)
    tablet.page.keyboard.press("Enter")
    tablet.page.wait_for_url("**/bins/**")
    tablet.look("scanned bin")
    assert "T-91" in tablet.text()
    assert tablet.violations == []
