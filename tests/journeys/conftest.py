"""A browser for journeys; one at a time in a worker, since all share its live server's database.

SLOW=1 runs the main acts upright and across, each on a processor slowed down; else they
run upright at full speed, for slowing down costs minutes.
"""

import os
from pathlib import Path

import pytest
from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.core.cache import cache
from django.core.management import call_command
from django.test import override_settings
from django.views.static import serve
from playwright.sync_api import sync_playwright

from tests.journeys.browsing import SIZES, Tablet
from tests.settings import STORAGES

os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
HASHED = STORAGES | {"staticfiles": {"BACKEND": "workshop.hashed_files.HashedFiles"}}
IS_SLOW = bool(os.environ.get("SLOW"))
CHROMIUM = "/usr/bin/chromium"  # the only one with a camera
WITHOUT_WINDOW = "/usr/bin/chromium-headless-shell"  # the same engine in less than half the time
BROWSER = CHROMIUM if IS_SLOW or not Path(WITHOUT_WINDOW).exists() else WITHOUT_WINDOW
# A list of one's own takes the place of Playwright's, whose names come first. The last three are parts of
# the address bar, which nobody sees here: each would start a process for every context.
SWITCHED_OFF = [
    "AvoidUnnecessaryBeforeUnloadCheckSync", "DestroyProfileOnBrowserClose", "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable", "LensOverlay", "MediaRouter", "PaintHolding",
    "ThirdPartyStoragePartitioning", "AvoidCorsURLLoaderRestartOnRedirect", "OptimizationHints",
    "NetworkTimeServiceQuerying", "AimEnabled", "PreconnectToSearch",
    "PreloadTopChromeWebUI", "WebUIOmniboxPopup", "WebUIOmniboxAimPopup",
]  # fmt: skip
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-sync",
    f"--disable-features={','.join(SWITCHED_OFF)}",
]


@pytest.fixture(autouse=True)
def forgotten():
    """Nobody starts with what tests before asked: pictures are counted by person and minute."""
    cache.clear()


@pytest.fixture(scope="session")
def chromium():
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=BROWSER, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def collected(tmp_path_factory):
    """The static files as production serves them: a page asks for 17 of them and not for 60."""
    root = tmp_path_factory.mktemp("static")
    with override_settings(STORAGES=HASHED, STATIC_ROOT=root):
        call_command("collectstatic", interactive=False, verbosity=0)
    return root


@pytest.fixture
def hashed_files(collected, monkeypatch):
    """Pages that name the collected files, and a server that lets the browser keep them."""

    def kept(handler, request):
        response = serve(request, handler.file_path(request.path), document_root=collected)
        response.headers["Cache-Control"] = "max-age=3600, immutable"
        return response

    monkeypatch.setattr(StaticFilesHandler, "serve", kept)
    with override_settings(STORAGES=HASHED, STATIC_ROOT=collected):
        yield


@pytest.fixture
def tablet(chromium, live_server, hashed_files):
    context = chromium.new_context(viewport={"width": 800, "height": 1280}, has_touch=True)
    page = context.new_page()
    used = Tablet(page, live_server.url)
    page.on("pageerror", lambda error: used.errors.append(str(error)))
    page.on("console", lambda said: used.errors.append(said.text) if said.type == "error" else None)
    yield used
    context.close()


@pytest.fixture(params=SIZES if IS_SLOW else ["portrait"])
def slow_tablet(request, tablet):
    """The tablet upright; with SLOW=1 also across, each with a slow processor."""
    if IS_SLOW:
        tablet.slow_down(request.param)
    return tablet
