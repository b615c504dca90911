"""Twenty tablets scan bins at once: how long the server works from the code to the bin page."""

import random
import re
import threading
from http.client import HTTPConnection
from time import monotonic, sleep

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.auth.models import User
from django.contrib.sessions.backends.db import SessionStore

from inventory.models import Bin
from tests.benchmarks.servers import web_server
from tests.benchmarks.tables import Figure, below
from tests.benchmarks.timing import load, p95

SECONDS = 20
TABLETS = 20
THINK = (0.5, 1.5)  # seconds
HOLD_MS = 100
DURATION = re.compile(r"dur=([\d.]+)")
LATER = re.compile(rb'hx-get="([^"]+/make-up/)"')


def session_cookie(person: User) -> str:
    """Return the cookie of a person who has logged in."""
    session = SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[-1]
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.save()
    return f"{settings.SESSION_COOKIE_NAME}={session.session_key}"


class Tablet(threading.Thread):
    """One tablet: scans a bin, follows to its page, fetches the make-up, thinks."""

    def __init__(self, port: int, cookie: str, codes: list[str], number: int):
        super().__init__(daemon=True)
        self.connection = HTTPConnection("127.0.0.1", port, timeout=60)
        self.cookie, self.codes, self.random = cookie, codes, random.Random(number)
        self.until = monotonic() + SECONDS
        self.pages, self.make_ups, self.faults = [], [], []

    def get(self, path: str, **headers):
        """Return the answer, its body and the ms the server worked on it."""
        self.connection.request("GET", path, headers={"Cookie": self.cookie, **headers})
        answer = self.connection.getresponse()
        body = answer.read()
        timing = DURATION.search(answer.getheader("Server-Timing", ""))
        return answer, body, float(timing[1]) if timing else 0.0

    def scan(self, code: str) -> None:
        """Scan one bin."""
        answer, _, first_ms = self.get(f"/q/{code}/")
        page, body, second_ms = self.get(answer.getheader("Location", "/"))
        if (answer.status, page.status) != (302, 200):
            self.faults.append((answer.status, page.status))
        self.pages.append(first_ms + second_ms)
        if later := LATER.search(body):
            part, _, ms = self.get(later[1].decode(), **{"HX-Request": "true"})
            self.make_ups.append(ms)
            if part.status != 200:
                self.faults.append(("make-up", part.status))

    def run(self):
        sleep(self.random.uniform(*THINK))
        while monotonic() < self.until:
            self.scan(self.random.choice(self.codes))
            sleep(self.random.uniform(*THINK))


class Walker(Tablet):
    """One who looks at every bin in turn, without a thought."""

    def run(self):
        for code in self.codes:
            self.scan(code)


def scan_for_a_while(port: int, kind=Tablet) -> list[Tablet]:
    """Let the tablets scan and return them with their times."""
    people = list(User.objects.filter(groups__name="operator").order_by("pk")[:TABLETS])
    codes = list(Bin.objects.filter(retired_at=None).order_by("pk").values_list("code", flat=True))
    tablets = [
        kind(port, session_cookie(person), codes, number) for number, person in enumerate(people)
    ]
    for tablet in tablets:
        tablet.start()
    for tablet in tablets:
        tablet.join()
    return tablets


def figures_of(tablets: list[Tablet], when: str) -> list[Figure]:
    """Return the figures of one while."""
    pages = [ms for tablet in tablets for ms in tablet.pages]
    make_ups = [ms for tablet in tablets for ms in tablet.make_ups]
    faults = [fault for tablet in tablets for fault in tablet.faults]
    middle = sorted(pages)[len(pages) // 2]
    note = f"p50 {middle:.1f} ms, {len(pages)} scans in {SECONDS} s, load {load()}"
    if faults:
        note += f", {len(faults)} faults such as {faults[0]}"
    later = sorted(make_ups)
    shown = f"p50 {later[len(later) // 2]:.1f} ms" if later else "none"
    return [
        below(f"scan to bin page, server, p95, {when}", p95(pages), HOLD_MS, "ms", note),
        Figure(f"  its make-up, fetched after it, {when}", f"{p95(later):,.1f} ms", note=shown),
    ]


def run(say) -> list[Figure]:
    """Measure twice on one server: with nothing remembered, then when each worker knows each bin.

    A fill that changes is swept once by each worker; all the others are as remembered.
    """
    with web_server() as port:
        say("  twenty tablets scan, first with a cold server, then a warm one")
        cold = figures_of(scan_for_a_while(port), "cold")
        scan_for_a_while(port, Walker)
        return cold + figures_of(scan_for_a_while(port), "warm")
