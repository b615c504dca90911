"""Acts that lock many things, against those that lock a few of the same: none waits for the other for ever."""

from functools import partial
from threading import Event, Thread
from time import sleep

import pytest
from django.db import DatabaseError, connection, transaction

from inventory.actions import corrections, recalls
from inventory.actions.locks import fresh, hold_still
from inventory.actions.recalls import start_recall
from inventory.models import Hold, Mass, Recall
from inventory.queries.closures import lots_ahead_of
from inventory.queries.lots import open_lot_in
from inventory.queries.recalls import whereabouts
from inventory.queries.verification import first_fault
from products.models import Part
from tests.factories.cutting import cut_run, make_boards, saw
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.mendings import make_fix, mend
from tests.factories.visits import drawn_of, make_piece, make_visit, settle, visit_with_pieces
from tests.factories.workshop import load, make_run, weigh_out
from tests.race.test_races import at_once, mover, refusals
from workshop.actions.corrections import correct_postings
from workshop.actions.yields import Outcome

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


ROW_LOCKS = pytest.mark.skipif(
    connection.vendor == "sqlite", reason="SQLite has one writer, so nobody waits within an act"
)


class Locking:
    """Somebody in a thread apart who locks one row and, when told to go on, another."""

    def __init__(self, first, second):
        self.rows, self.has_first, self.go_on = (first, second), Event(), Event()
        self.thread, self.fault = Thread(target=self.run), None

    def run(self):
        try:
            with transaction.atomic():
                fresh(self.rows[0])
                self.has_first.set()
                self.go_on.wait(5)
                sleep(0.05)  # so that the other one asks for its lock too
                fresh(self.rows[1])
        except DatabaseError as fault:
            self.fault = fault
        finally:
            connection.close()

    def begin(self):
        self.thread.start()
        self.has_first.wait(5)

    def ends(self):
        """Wait for the end, which a deadlock would have made a fault."""
        self.thread.join()
        assert self.fault is None


def older_fill(by):
    """Return a bin with a fill that takes more into itself."""
    bin = BinFactory()
    mover(make_full_bin(by)[1], bin, by, KG)()
    return bin


def unheld(*lots):
    """Return the lots that hold some of these and are not stopped."""
    stopped = set(Hold.objects.open().values_list("lot", flat=True))
    return [each.lot for each in whereabouts(lots).holders if each.lot.pk not in stopped]


def test_a_recall_meets_what_flows_into_older_lots(operator, lead):
    """The fills were there before the bad delivery, so they are locked before it by a move."""
    older = [older_fill(operator) for _ in range(4)]
    _bin, bad = make_full_bin(operator)
    moves = [mover(bad, bin, operator, 100_000) for bin in older * 3]
    recalls = [partial(start_recall, lots=[bad], act=make_act(lead, "smells")) for _ in range(2)]
    at_once(*moves[:6], *recalls, *moves[6:])
    assert Recall.objects.count() == 2
    assert unheld(bad) == []
    assert first_fault() is None


@ROW_LOCKS
def test_a_recall_waits_for_no_older_lot_with_later_ones_locked(operator, lead, monkeypatch):
    """While it asks what is ahead, some flows into an older fill; another act locks that, and the bad lot."""
    older = older_fill(operator)
    fill = open_lot_in(older)
    _bin, bad = make_full_bin(operator)
    flow, other = mover(bad, older, operator, KG), Locking(fill, bad)
    asked = []

    def ask(keys):
        found = lots_ahead_of(keys)
        asked.append({*found})
        if len(asked) == 1:
            at_once(flow)
            other.begin()
        else:
            other.go_on.set()
        return found

    monkeypatch.setattr(recalls, "lots_ahead_of", ask)
    start_recall(lots=[bad], act=make_act(lead, "smells"))
    other.ends()
    assert fill.pk not in asked[0]
    assert unheld(bad) == []


@ROW_LOCKS
def test_a_correction_locks_lots_before_parts_as_a_handover_does(operator, lead, monkeypatch):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 5 * KG)
    weigh_out(run, operator, "part", KG, pieces=1)
    part = Part.objects.get()
    fix = make_fix(part.made_in, 0.9)
    other = Locking(part.lot, part)
    other.begin()

    def lock(keys):
        other.go_on.set()
        return hold_still(keys)

    monkeypatch.setattr(corrections, "hold_still", lock)
    mend(lead, fix, correct=correct_postings)
    other.ends()
    part.lot.refresh_from_db()
    assert part.lot.in_mg == 900_000


def test_a_visit_is_settled_while_another_run_on_its_machine_loads_from_its_bin(operator):
    visits = []
    for _ in range(4):
        visit, lot = visit_with_pieces(operator)
        run = make_run(operator, "inject", machine=visit.machine, design=visit.design)
        visits.append((visit, lot, run))
    answers = at_once(
        *[partial(settle, visit, operator, drawn_of(lot, 60_000)) for visit, lot, _ in visits],
        *[partial(load, run, lot, operator, KG) for _, lot, run in visits * 2],
    )
    assert refusals(answers) <= {"spoken-for", "sealed"}
    assert first_fault() is None


def test_two_visits_lay_offcuts_into_bins_that_are_moved_into(operator):
    """The offcuts of each go into a bin that what it draws from is moved into as well."""
    one, other = (make_full_bin(operator)[1] for _ in range(2))
    visits = [make_visit(operator) for _ in range(2)]
    for visit, lot in zip(visits, (one, other), strict=True):
        make_piece(visit, lot, operator)
    into = [BinFactory() for _ in range(2)]
    offcuts = [Outcome("offcut", Mass(10_000), bin=bin) for bin in into]
    answers = at_once(
        partial(settle, visits[0], operator, drawn_of(one, 30_000, offcut=offcuts[0])),
        partial(settle, visits[1], operator, drawn_of(other, 30_000, offcut=offcuts[1])),
        *[mover(one, into[0], operator, 1000) for _ in range(4)],
        *[mover(other, into[1], operator, 1000) for _ in range(4)],
    )
    assert first_fault() is None
    assert refusals(answers) == set()


def test_a_sheet_is_loaded_while_a_run_on_that_saw_is_opened_for_it(operator):
    boards = make_boards(operator, 3)
    runs = [make_run(operator, "cut", **saw()) for _ in boards]
    at_once(
        *[partial(cut_run, operator, board) for board in boards],
        *[partial(load, run, board.lot, operator) for run, board in zip(runs, boards, strict=True)],
    )
    assert first_fault() is None
