"""What an act costs at a slow tablet: its taps, scans, typed figures, and the seconds until the book answered.

    python -m tests.benchmarks.taps

A browser of 800 x 1280 with a slowed processor and a slow network works on a small invented book,
served as in production. The script never thinks and types without a pause, so the seconds are
those for which somebody waits. Not a test: pytest does not collect it, and no figure decides.
"""

import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from tempfile import TemporaryDirectory
from time import perf_counter

PLACE = TemporaryDirectory(prefix="taps-")
os.environ["DATABASE_URL"] = f"sqlite:///{PLACE.name}/book.sqlite3"
os.environ["MEDIA_ROOT"] = PLACE.name
os.environ["DJANGO_SETTINGS_MODULE"] = "tests.benchmarks.settings"
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"

import django  # noqa: E402

django.setup()

from django.core.management import call_command  # noqa: E402
from playwright.sync_api import Error, sync_playwright  # noqa: E402

from products.models import Window  # noqa: E402
from tests.benchmarks.servers import web_server  # noqa: E402
from tests.benchmarks.tables import table  # noqa: E402
from tests.benchmarks.timing import load, yardstick  # noqa: E402
from tests.factories.inventory import (  # noqa: E402
    KG,
    BinFactory,
    colour,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.people import PASSWORD, PIN, make_bench, make_person  # noqa: E402
from tests.factories.workshop import (  # noqa: E402
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    make_run,
)
from tests.journeys.browsing import Tablet  # noqa: E402
from tests.journeys.conftest import CHROMIUM, FLAGS  # noqa: E402
from tests.journeys.small_workshop import build  # noqa: E402
from tests.journeys.test_run_stages import Thumb  # noqa: E402

SLOWER = 4  # times
LATENCY_MS = 400
BYTES_A_SECOND = 50_000
OPERATOR, BENCH = "operator-one", "bench-one"
THREE_BINS = "3 scans, 3 masses, 3 taps"
HEAD = ["act", "scans", "figures", "taps", "seconds", "aim"]


class Glove(Thumb):
    """The thumb of the journeys, which only waits for a page instead of checking it."""

    def look(self, _name: str) -> None:
        self.page.wait_for_load_state()

    def scan(self, code: str) -> None:
        self.scans += 1
        with self.page.expect_event("load"):
            self.page.keyboard.type(code, delay=5)
            self.page.keyboard.press("Enter")

    def tap(self, name: str, role: str = "button") -> None:
        """Tap what leads on; a changed address alone is no new page."""
        self.taps += 1
        with self.page.expect_event("load"):
            self.page.get_by_role(role, name=name, exact=True).first.click()

    def touch(self, locator) -> None:
        """Tap what stays on the page."""
        self.taps += 1
        locator.click()

    def book(self, locator) -> None:
        """Tap what is booked without leaving the page, and wait for the answer."""
        self.taps += 1
        with self.page.expect_response(lambda answer: answer.request.method == "POST") as told:
            locator.click()
        told.value.finished()

    def scan_into(self, code: str) -> None:
        """Scan a code into the field of this page that waits for it."""
        self.scans += 1
        with self.page.expect_response(lambda answer: answer.ok) as told:
            self.page.keyboard.type(code, delay=5)
            self.page.keyboard.press("Enter")
        told.value.finished()

    def log_in(self, name: str) -> None:
        self.page.goto(f"{self.tablet.address}/login/")
        self.page.locator("[name=username]").fill(name)
        self.page.locator("[name=password]").fill(PASSWORD)
        self.page.locator("[type=submit]").click()
        self.page.wait_for_url(lambda address: "/login/" not in address)
        self.look(name)


# The book


def build_book() -> dict:
    """Fill an empty book; return what the acts are about."""
    call_command("migrate", verbosity=0)
    call_command("load_reference", stdout=sys.stderr)
    call_command("collectstatic", interactive=False, verbosity=0)
    by = make_person("operator", OPERATOR)
    things = build(by)
    make_bench(BENCH)
    BinFactory(name="M-01", place="flake rack")
    Window.objects.create(design_id=things["design"], quantity="melt", low=190, high=230)
    return things | {"board": board_run(by).get_absolute_url()}


def board_run(by):
    """Return a run of a board of 3.6 kg; three bins of flake and one for offcuts stand ready."""
    for name, shade in {"B-01": "blue", "B-02": "red", "B-03": "white"}.items():
        make_delivery(by, bin=BinFactory(name=name, tare_mg=KG), colour=shade)
    kept = {"polymer": polymer("PE-HD"), "colour": colour("mixed")}
    make_full_bin(by, form="offcut", colour="red", bin_fields={"name": "C-90", **kept})
    design = DesignFactory(name="Board 600 x 600 x 10", nominal_mass_mg=3_600_000)
    press = MachineFactory(name="Sheet press", kind="press")
    frame = ToolingFactory(name="Frame", kind="frame", capacity_mg=5 * KG)
    return make_run(by, design=design, machine=press, tooling=frame, planned_pieces=1)


# The acts, each from the page on which somebody stands


def load_three_bins(glove):
    for name, figure in {"B-01": "1.2", "B-02": "1.3", "B-03": "1.2"}.items():
        glove.scan(name)
        glove.key_in(figure)
        glove.tap("Load")


def count_a_cycle(glove):
    glove.book(glove.page.locator("#cycle-button"))


def note_a_reading(glove):
    glove.touch(glove.page.locator("#melt-form [name=value]"))
    glove.masses += 1
    glove.page.keyboard.type("210", delay=5)
    glove.book(glove.page.locator("#melt-form").get_by_role("button", name="Note it", exact=True))


def weigh_out_parts(glove):
    glove.tap("Weigh out", "link")
    glove.tap("Parts counted, each about 3.6\u00a0kg", "link")
    glove.key_in("1")
    glove.touch(glove.page.locator("[name=mass]"))
    glove.key_in("3.61")
    glove.tap("Weigh out")


def weigh_out_offcut(glove):
    glove.tap("Offcuts edges and sprues, into their bin", "link")
    glove.key_in("0.08")
    glove.tap("Weigh out")


def close_the_run(glove):
    glove.tap("Close", "link")
    glove.touch(glove.page.locator("label", has_text="stuck in the machine"))
    glove.tap("Name the loss and close")


def count_a_bin(glove):
    glove.scan("B-03")
    glove.tap("Count", "link")
    glove.key_in("9.8")
    glove.tap("Compare with the book")
    glove.tap("It agrees")


def move_a_bin(glove):
    glove.scan("T-90")
    glove.tap("Move out", "link")
    glove.scan_into("M-01")
    glove.tap("Move")


def begin_a_turn(glove):
    glove.tap("Ada", "link")
    for digit in PIN:
        glove.touch(glove.page.locator(f"main [data-digit='{digit}']"))
    glove.tap("Start")


def make_a_piece(glove):
    glove.book(glove.page.locator(".visit-chip").first)
    glove.page.locator("#end-button").wait_for()
    glove.book(glove.page.locator("#end-button"))


@dataclass(frozen=True)
class Case:
    """An act, the page it begins on ("" is the page of the act before), its answer and its aim."""

    what: str
    act: Callable
    start: str
    said: str
    aim: str = ""


CASES = [
    Case("load from 3 bins", load_three_bins, "{board}load/", "B-03 is in", THREE_BINS),
    Case("weigh out parts", weigh_out_parts, "{board}", "came out of"),
    Case("offcut to the suggested bin", weigh_out_offcut, "", "went into C-90"),
    Case("close the run, naming a loss", close_the_run, "", "is closed"),
    Case("one cycle (+1)", count_a_cycle, "/runs/{run}/make/", "4 pieces of 40", "1 tap"),
    Case("one reading", note_a_reading, "/runs/{run}/make/", "210 °C, in the window"),
    Case("move a bin's contents", move_a_bin, "/bins/", "moved from"),
    Case("count a bin that agrees", count_a_bin, "/bins/", "it agreed"),
    Case("one visitor's piece", make_a_piece, "/visits/{visit}/", "Label of piece 4", "2 taps"),
]
TURN = Case("begin a turn with a PIN of 4", begin_a_turn, "/bench/", "Needs a decision")


def measured(glove: Glove, case: Case, things: dict) -> list:
    """Return the row of an act; one that breaks, or whose answer is not on the page, says so."""
    try:
        if case.start:
            glove.page.goto(glove.tablet.address + case.start.format(**things))
        glove.page.wait_for_load_state("networkidle")
        glove.count()
        began = perf_counter()
        case.act(glove)
        seconds = perf_counter() - began
        glove.page.wait_for_load_state("networkidle")
    except Error as error:
        print(case.what, error, file=sys.stderr)  # noqa: T201
        return [case.what, "", "", "", "broke", case.aim]
    text = " ".join(glove.page.inner_text("body").split())  # a space that does not break is one
    if case.said not in text:
        print(case.what, "answered:", text[:2000], file=sys.stderr)  # noqa: T201
    shown = f"{seconds:.1f}" if case.said in text else "no answer"
    row = [case.what, *glove.count(), shown, case.aim]
    print(*row, sep=" | ", file=sys.stderr, flush=True)  # noqa: T201
    return row


def slow_tablet(browser, address: str) -> Glove:
    """Return somebody at a tablet with a slow processor and a slow network."""
    context = browser.new_context(
        viewport={"width": 800, "height": 1280}, has_touch=True, service_workers="block"
    )
    page = context.new_page()
    page.set_default_timeout(60_000)
    link = context.new_cdp_session(page)
    link.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    link.send("Network.enable")
    speed = {"downloadThroughput": BYTES_A_SECOND, "uploadThroughput": BYTES_A_SECOND}
    link.send(
        "Network.emulateNetworkConditions", {"offline": False, "latency": LATENCY_MS, **speed}
    )
    return Glove(Tablet(page, address))


def rows_of(browser, address: str, things: dict) -> list[list]:
    """Return the rows of all acts: an operator's own login, then a bench."""
    glove = slow_tablet(browser, address)
    glove.log_in(OPERATOR)
    rows = [measured(glove, case, things) for case in CASES]
    bench = slow_tablet(browser, address)
    bench.log_in(BENCH)
    return [*rows, measured(bench, TURN, things)]


def main() -> None:
    """Build, work, print."""
    things = build_book()
    with web_server() as port, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        before = load()
        rows = rows_of(browser, f"http://127.0.0.1:{port}", things)
        browser.close()
    today = datetime.now(UTC).date()
    print(table(HEAD, rows))  # noqa: T201
    print(  # noqa: T201
        f"\n{today}: 800 x 1280, processor slowed {SLOWER} times, {LATENCY_MS} ms and"
        f" {BYTES_A_SECOND // 1000} kB/s; load {before} to {load()}; {yardstick()}"
    )


if __name__ == "__main__":
    main()
