"""The live camera: a film of a turning label before it, with and without what a browser may lack."""

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import expect

from inventory.models import Posting
from tests.factories.inventory import BinFactory
from tests.factories.label_photos import as_bytes, label_photo
from tests.factories.people import make_person
from tests.journeys.browsing import Tablet
from tests.journeys.conftest import CHROMIUM, FLAGS
from tests.journeys.scanners import turning_label

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-one"),
    pytest.mark.django_db(transaction=True),
]
CODE = "30QJ6P1H8RNC"
NO_CAMERA = "delete Navigator.prototype.mediaDevices; delete window.BarcodeDetector;"
DETECTOR = """
    window.BarcodeDetector = class {
      static async getSupportedFormats() { return ["qr_code"]; }
      async detect() { window.detected = (window.detected ?? 0) + 1; DETECT }
    };
"""


@pytest.fixture
def bin():
    return BinFactory(name="B-07", code=CODE)


@pytest.fixture(scope="module")
def browser_before(chromium, tmp_path_factory):
    """Start a browser whose camera sees labels, once for the same labels."""
    started = {}

    def start(*codes):
        if codes not in started:
            film = turning_label(tmp_path_factory.mktemp("camera") / "labels.mjpeg", *codes)
            fake = [
                "--use-fake-device-for-media-stream",
                f"--use-file-for-fake-video-capture={film}",
            ]
            kind = chromium.browser_type
            started[codes] = kind.launch(executable_path=CHROMIUM, args=[*FLAGS, *fake])
        return started[codes]

    yield start
    for browser in started.values():
        browser.close()


@pytest.fixture
def before_camera(browser_before, live_server):
    """Open a tablet whose camera sees labels, and sign in; `script` is what the browser has or lacks."""
    opened = []

    def open_tablet(*codes, script="", may=True):
        size = {"width": 800, "height": 1280}
        context = browser_before(*codes).new_context(viewport=size, has_touch=True)
        opened.append(context)
        context.grant_permissions(["camera"] if may else [])
        context.add_init_script(script)
        tablet = Tablet(context.new_page(), live_server.url)
        log_in(tablet)
        return tablet

    make_person("operator", "operator-one")
    yield open_tablet
    for context in opened:
        context.close()


def log_in(tablet):
    tablet.sign_in(User.objects.get())
    tablet.page.goto(tablet.address)


def open_panel(tablet):
    tablet.page.locator(".scan-panel-title").click()


def told(tablet):
    return tablet.page.locator("[data-scan-live] [data-scan-say]")


def is_running(tablet):
    return tablet.page.evaluate("document.querySelector('[data-scan-video]').srcObject !== null")


def test_a_turning_label_is_read_and_opened(before_camera, bin):
    tablet = before_camera(bin.code)
    open_panel(tablet)
    tablet.page.wait_for_url(f"**{bin.get_absolute_url()}")


def test_a_label_before_the_camera_fills_the_field_that_waits(before_camera, bin):
    tablet = before_camera(bin.code)
    tablet.open("/deliveries/new/")
    open_panel(tablet)
    expect(tablet.page.locator("main [name=bin]")).to_have_value("B-07")
    assert not is_running(tablet)
    assert tablet.violations == []


def test_where_the_browser_reads_codes_itself_no_picture_is_sent(before_camera, bin):
    seen = f"return [{{rawValue: 'https://shop.example/q/{bin.code}'}}];"
    tablet = before_camera(script=DETECTOR.replace("DETECT", seen))
    sent = []
    tablet.page.on("request", lambda request: sent.append(request.url))
    open_panel(tablet)
    tablet.page.wait_for_url(f"**{bin.get_absolute_url()}")
    assert [url for url in sent if "scan-frames" in url] == []


def test_where_the_browsers_own_reader_fails_pictures_are_sent(before_camera, bin):
    broken = "throw new DOMException('no service', 'NotSupportedError');"
    tablet = before_camera(bin.code, script=DETECTOR.replace("DETECT", broken))
    open_panel(tablet)
    tablet.page.wait_for_url(f"**{bin.get_absolute_url()}")


def test_somebody_elses_label_is_told_and_the_camera_goes_on(before_camera):
    tablet = before_camera("ABCDEFGHJKMN")
    open_panel(tablet)
    expect(told(tablet)).to_contain_text(
        "ABCD EFGH JKMN is written as a code of ours", timeout=20_000
    )
    tablet.look("somebody elses label before the camera")
    assert is_running(tablet)


def test_the_camera_stops_when_the_panel_closes(before_camera):
    tablet = before_camera()
    open_panel(tablet)
    expect(tablet.page.locator("[data-scan-video]")).to_be_visible()
    expect(told(tablet)).to_have_text("Hold the label in the picture.")
    tablet.look("camera without a label")
    track = "document.querySelector('[data-scan-video]').srcObject.getTracks()[0]"
    tablet.page.evaluate(f"window.track = {track}")
    open_panel(tablet)
    tablet.page.wait_for_function("window.track.readyState === 'ended'")
    assert tablet.violations == []


def test_the_camera_stops_when_the_page_is_hidden(before_camera):
    tablet = before_camera()
    open_panel(tablet)
    expect(tablet.page.locator("[data-scan-video]")).to_be_visible()
    tablet.page.evaluate(
        "Object.defineProperty(document, 'hidden', {value: true});"
        "document.dispatchEvent(new Event('visibilitychange'))"
    )
    expect(tablet.page.locator("[data-scan-video]")).to_be_hidden()
    assert not is_running(tablet)


def test_a_camera_that_may_not_be_used_is_told(before_camera):
    tablet = before_camera(may=False)
    open_panel(tablet)
    expect(told(tablet)).to_contain_text("This page may not use the camera.")
    tablet.look("camera refused")
    assert tablet.violations == []


def test_pictures_are_sent_one_at_a_time_and_small(before_camera):
    tablet, sizes = before_camera(), []
    tablet.page.on(
        "request",
        lambda request: (
            sizes.append(int(request.all_headers()["content-length"]))
            if "scan-frames" in request.url
            else None
        ),
    )
    open_panel(tablet)
    tablet.page.wait_for_timeout(3000)
    assert 1 <= len(sizes) <= 3000 / 350 + 1
    assert max(sizes) < 100_000


@pytest.mark.parametrize(
    "script", [NO_CAMERA, "Object.defineProperty(window, 'isSecureContext', {value: false})"]
)
def test_without_camera_or_secure_address_a_photo_is_read(script, before_camera, bin):
    tablet = before_camera(script=script)
    open_panel(tablet)
    expect(tablet.page.locator("[data-scan-live]")).to_be_hidden()
    expect(tablet.page.locator("[data-scan-insecure]")).to_be_visible()
    tablet.look("no secure address")
    file = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": as_bytes(label_photo(bin.code))}
    tablet.page.locator(".top-bar [name=photo]").set_input_files(file)
    tablet.page.wait_for_url(f"**{bin.get_absolute_url()}")
    assert tablet.violations == []


def test_nothing_is_booked_by_looking(before_camera, bin):
    tablet = before_camera(bin.code)
    open_panel(tablet)
    tablet.page.wait_for_url(f"**{bin.get_absolute_url()}")
    assert Posting.objects.count() == 0
