"""The make stage at the tablet: taps, undo, a step across a reload, readings, a pause, a dead network."""

import pytest

from products.models import Window
from tests.factories.inventory import KG, make_full_bin
from tests.factories.people import PASSWORD, make_person
from tests.factories.workshop import DesignFactory, ToolingFactory, load, make_run
from workshop.models import Cycle, Pause, Reading, Step

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-two"),
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def run(db):
    """An injection machine with PE-HD and a mould of two cavities."""
    by = make_person("operator", "operator-one")
    _bin, lot = make_full_bin(by)
    design = DesignFactory(name="Coat hook", made_by="inject", form="part")
    Window.objects.create(design=design, quantity="melt", low=190, high=230)
    run = make_run(by, "inject", design, tooling=ToolingFactory(cavities=2), planned_pieces=40)
    load(run, lot, by, 2 * KG)
    return run


@pytest.fixture
def at_work(tablet, run):
    """The make page, opened by an operator."""
    tablet.sign_in(run.operator)
    tablet.open(f"/runs/{run.code}/make/")
    return tablet


def count(tablet, expected):
    tablet.page.wait_for_timeout(450)  # a second tap at once would count as a bounce
    tablet.page.locator("#cycle-button").click()
    shows(tablet, expected)


def shows(tablet, cycles):
    tablet.page.locator("#making-cycles").get_by_text(str(cycles), exact=True).wait_for()


def seconds_shown(tablet):
    minutes, seconds = tablet.page.locator("[data-since]").inner_text().split(":")
    return int(minutes) * 60 + int(seconds)


def read(tablet, quantity, value):
    tablet.page.locator(f"#{quantity}-form [name=value]").fill(value)
    tablet.page.locator(f"#{quantity}-form").get_by_role(
        "button", name="Note it", exact=True
    ).click()


def test_cycles_are_counted_by_one_tap_each_and_the_last_is_taken_back(at_work, run):
    for number in range(1, 4):
        count(at_work, number)
    at_work.page.locator("#undo-button").click()
    shows(at_work, 2)
    at_work.look("three taps and an undo")
    assert Cycle.objects.count() == 4
    assert "4 pieces of 40 planned" in at_work.text()
    assert "n = 1" in at_work.text()
    assert (at_work.violations, at_work.errors) == ([], [])


def test_a_glove_that_bounces_counts_once(at_work, run):
    at_work.page.locator("#cycle-button").dblclick(delay=30)
    at_work.page.wait_for_timeout(800)
    assert Cycle.objects.count() == 1


def test_a_step_runs_on_across_a_reload(at_work, run):
    at_work.page.locator("#step-heat").click()
    at_work.page.wait_for_selector("[data-since]")
    at_work.page.wait_for_timeout(2200)
    at_work.open(f"/runs/{run.code}/make/")
    assert seconds_shown(at_work) >= 2
    at_work.page.locator("#step-inject").click()
    at_work.page.wait_for_selector("#step-inject[aria-pressed=true]")
    at_work.look("second step")
    assert list(Step.objects.values_list("name", flat=True)) == ["heat", "inject"]
    assert "Heat" in at_work.text()
    assert (at_work.violations, at_work.errors) == ([], [])


def test_a_clock_goes_on_while_the_tablet_sleeps(at_work, run):
    """The page is frozen as a sleeping tablet freezes it; its timers stand, the clock does not."""
    at_work.page.locator("#step-heat").click()
    at_work.page.wait_for_selector("[data-since]")
    cdp = at_work.page.context.new_cdp_session(at_work.page)
    cdp.send("Page.setWebLifecycleState", {"state": "frozen"})
    at_work.page.wait_for_timeout(3000)
    cdp.send("Page.setWebLifecycleState", {"state": "active"})
    at_work.page.wait_for_timeout(1100)
    assert seconds_shown(at_work) >= 3


def test_a_tablet_with_a_wrong_clock_tells_the_right_moment(at_work, run):
    at_work.page.clock.install(time="2031-01-01T00:00:00Z")
    at_work.open(f"/runs/{run.code}/make/")
    at_work.page.locator("#cycle-button").click()
    at_work.page.wait_for_timeout(800)
    cycle = Cycle.objects.get()
    assert abs((cycle.recorded_at - cycle.happened_at).total_seconds()) < 3


def test_a_reading_out_of_the_window_is_asked_back_and_what_else_is_typed_stays(at_work, run):
    at_work.page.locator("#mould-form [name=value]").fill("30")
    read(at_work, "melt", "236")
    at_work.page.get_by_role("button", name="Yes, note it").wait_for()
    at_work.look("asked back")
    assert not Reading.objects.exists()
    at_work.page.get_by_role("button", name="Yes, note it").click()
    at_work.page.locator("#reading-melt", has_text="above the window").wait_for()
    count(at_work, 1)
    assert at_work.page.locator("#mould-form [name=value]").input_value() == "30"
    at_work.look("noted")
    assert (at_work.violations, Reading.objects.get().place) == ([], "above")


def test_above_the_fume_ceiling_the_page_says_stop(at_work, run):
    read(at_work, "melt", "290")
    at_work.page.get_by_role("button", name="Yes, note it").click()
    at_work.page.locator("#making-cautions", has_text="Stop: the melt temperature is").wait_for()
    at_work.look("stop")
    assert at_work.violations == []


def test_what_cannot_be_is_refused_and_stays_typed(at_work, run):
    read(at_work, "melt", "2300")
    at_work.page.locator("#reading-melt", has_text="No melt temperature is").wait_for()
    at_work.look("absurd")
    assert at_work.page.locator("#melt-form [name=value]").input_value() == "2300"
    assert not Reading.objects.exists()


def test_a_pause_with_its_reason_ends_by_one_tap(at_work, run):
    at_work.page.locator("#step-heat").click()
    at_work.page.wait_for_selector("[data-since]")
    at_work.page.locator("#making-pausing summary").click()
    at_work.look("why pause")
    at_work.page.get_by_role("button", name="Machine fault").click()
    at_work.page.locator("#resume-button").wait_for()
    at_work.look("paused")
    assert "stands still in the pause" in at_work.text()
    at_work.page.locator("#resume-button").click()
    at_work.page.locator("#cycle-button").wait_for()
    assert Pause.objects.count() == 2
    assert (at_work.violations, at_work.errors) == ([], [])


def test_taps_without_a_network_wait_and_are_counted_once_with_their_own_moments(at_work, run):
    at_work.set_network(is_on=False)
    for waiting in (1, 2):
        at_work.page.wait_for_timeout(1000)
        at_work.page.locator("#cycle-button").click()
        at_work.page.locator("[data-waiting-count]", has_text=str(waiting)).wait_for()
    at_work.look("taps that wait")
    assert not Cycle.objects.exists()
    at_work.set_network(is_on=True)
    at_work.page.locator("[data-waiting-count]").wait_for(state="hidden")
    first, second = Cycle.objects.in_order()
    assert (second.happened_at - first.happened_at).total_seconds() > 0.9
    assert at_work.violations == []


def test_without_script_every_tap_still_counts(chromium, live_server, run):
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{live_server.url}/login/?next=/runs/{run.code}/make/")
    page.locator("[name=username]").fill("operator-one")
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("[type=submit]").click()
    page.locator("#cycle-button").click()
    page.locator("#step-heat").click()
    page.locator("#undo-button").click()
    assert "One cycle taken back" in page.locator("#making-log").inner_text()
    assert (Cycle.objects.count(), Step.objects.count()) == (2, 1)
    context.close()
