"""Twenty tablets post moves at once: how many a second, none lost, none double.

Each tablet is a thread with a connection of its own, in four processes, so that they do
not wait for one interpreter. Two tablets share a bin. Every tenth act is sent twice.
"""

import json
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from http.client import HTTPConnection
from time import monotonic
from uuid import uuid4

from django.contrib.auth.models import User
from django.db import connection
from django.db.models import Sum
from rest_framework.authtoken.models import Token

from inventory.actions.acts import Act
from inventory.actions.bins import BinPlan, create_bin
from inventory.actions.deliveries import Receipt, receive_delivery
from inventory.actions.lots import move_lot
from inventory.models import Bin, Colour, Lot, Mass, Polymer, Posting, Source, Transfer
from tests.benchmarks.servers import web_server
from tests.benchmarks.tables import Figure, above
from tests.benchmarks.timing import load

PROCESSES, THREADS = 4, 5
SECONDS = 10
LEAST = {"sqlite": 100, "postgresql": 200}
KG = 1_000_000
STEP_MG = 1_000
AGAIN_EVERY = 10


def prepare() -> list[dict]:
    """Return, for each tablet, who it is, the lot it moves from and the bin it moves into."""
    people = list(User.objects.filter(groups__name="operator").order_by("pk"))
    polymer, colour = Polymer.objects.get(symbol="PP"), Colour.objects.get(name="blue")
    tablets = []
    for number in range(PROCESSES * THREADS):
        by = people[number % len(people)]
        act = Act(key=uuid4(), by=by)
        receipt = Receipt(
            source=Source.objects.first(),
            delivered_on=date(2026, 1, 5),
            net_mg=500 * KG,
            identified_by="mark",
            colour=colour,
            form="flake",
            origin_class="pre-consumer",
            polymer=polymer,
        )
        lot = receive_delivery(receipt=receipt, act=act).lot
        if number % 2 == 0:
            plan = BinPlan(name=f"X-{uuid4().hex[:8]}", capacity_mg=900 * KG)
            bin = create_bin(plan=plan, act=Act(key=uuid4(), by=by))
        tablets.append({"by": by.pk, "lot": lot.pk, "bin": bin.pk})
    return tablets


def move_for_a_while(tablet: dict, seconds: float) -> list[str]:
    """Move grams until the time is over; return the UUIDs of the acts that were answered."""
    by, lot = User.objects.get(pk=tablet["by"]), Lot.objects.get(pk=tablet["lot"])
    bin, answered = Bin.objects.get(pk=tablet["bin"]), []
    until = monotonic() + seconds
    while monotonic() < until:
        act = Act(key=uuid4(), by=by)
        move_lot(lot=lot, bin=bin, act=act, mass=Mass(STEP_MG))
        answered.append(str(act.key))
        if len(answered) % AGAIN_EVERY == 0:
            move_lot(lot=lot, bin=bin, act=act, mass=Mass(STEP_MG))
    connection.close()
    return answered


def process(tablets: list[dict]) -> None:
    """Run some tablets in this process, a thread each, and print what was answered.

    The first line it prints says that it is ready, the first it reads starts it.
    """
    print("ready", flush=True)  # noqa: T201
    sys.stdin.readline()
    with ThreadPoolExecutor(len(tablets)) as pool:
        answers = list(pool.map(move_for_a_while, tablets, [SECONDS] * len(tablets)))
    print(json.dumps({"answers": answers, "until": monotonic()}))  # noqa: T201


def judged(tablets: list[dict], answered: list[str]) -> tuple[bool, str]:
    """Return whether the book holds each answered act once and nothing else, and a sentence."""
    lots = Lot.objects.filter(pk__in=[tablet["lot"] for tablet in tablets])
    given = Transfer.objects.filter(source__in=lots)
    keys = {str(key) for key in given.values_list("posting__uuid", flat=True)}
    moved_mg = given.aggregate(mg=Sum("mass_mg"))["mg"]
    counted_mg = lots.aggregate(mg=Sum("out_mg"))["mg"]
    fine = keys == set(answered) and given.count() == len(answered) == moved_mg // STEP_MG
    fine = fine and moved_mg == counted_mg
    lost, extra = len(set(answered) - keys), given.count() - len(answered)
    return fine, f"{len(answered):,} answered, {lost} lost, {extra} double or unknown"


def by_action() -> Figure:
    """Return the rate through the action itself."""
    tablets = prepare()
    groups = [tablets[start::PROCESSES] for start in range(PROCESSES)]
    connection.close()
    command = [sys.executable, "-m", "tests.benchmarks.movers"]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    movers = [subprocess.Popen([*command, json.dumps(group)], **pipes) for group in groups]
    for mover in movers:
        mover.stdout.readline()
    began = monotonic()
    for mover in movers:
        mover.stdin.write("go\n")
        mover.stdin.flush()
    outputs = [json.loads(mover.communicate()[0]) for mover in movers]
    # Until the last answer: how long a process takes to end is nothing that a tablet waits for.
    # The clock is one for all processes of a machine.
    overall = max(output["until"] for output in outputs) - began
    answered = [key for output in outputs for keys in output["answers"] for key in keys]
    fine, sentence = judged(tablets, answered)
    note = f"{sentence}; {overall:.1f} s, load {load()}"
    rate = len(answered) / overall
    figure = above("postings by action, 20 at once", rate, LEAST[connection.vendor], "/s", note)
    return figure if fine else Figure(figure.what, figure.figure, figure.hold, False, note)  # noqa: FBT003


class ApiTablet(threading.Thread):
    """One tablet that moves grams over the API."""

    def __init__(self, port: int, tablet: dict):
        super().__init__(daemon=True)
        person = User.objects.get(pk=tablet["by"])
        token, _ = Token.objects.get_or_create(user=person)
        self.headers = {"Authorization": f"Token {token.key}", "Content-Type": "application/json"}
        self.lot = Lot.objects.get(pk=tablet["lot"]).code
        self.bin = Bin.objects.get(pk=tablet["bin"]).code
        self.connection = HTTPConnection("127.0.0.1", port, timeout=60)
        self.answered, self.refused = [], []

    def run(self):
        until = monotonic() + SECONDS
        while monotonic() < until:
            key = str(uuid4())
            body = {"uuid": key, "lot": self.lot, "to_bin": self.bin, "mass_mg": STEP_MG}
            self.connection.request("POST", "/api/moves/", json.dumps(body), self.headers)
            answer = self.connection.getresponse()
            text = answer.read()
            if answer.status < 300:
                self.answered.append(key)
            else:
                self.refused.append((answer.status, text[:200]))


def by_api() -> Figure:
    """Return the rate over HTTP, the web server and the tablets on this same machine."""
    tablets = prepare()
    with web_server() as port:
        threads = [ApiTablet(port, tablet) for tablet in tablets]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    answered = [key for thread in threads for key in thread.answered]
    refused = [each for thread in threads for each in thread.refused]
    fine, sentence = judged(tablets, answered)
    note = f"{sentence}; {len(refused)} refused {refused[:1] or ''}, load {load()}"
    rate = f"{len(answered) / SECONDS:,.0f} /s"
    return Figure("postings by API, 20 at once", rate, "none lost or double", fine, note)


def run(say) -> list[Figure]:
    """Measure both ways, and look at the book after each."""
    say("  twenty tablets post moves, by action and by API")
    before = Posting.objects.count()
    figures = [by_action(), by_api()]
    say(f"  the book has {Posting.objects.count() - before:,} postings more")
    return figures
