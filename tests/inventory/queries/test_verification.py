"""Each kind of fault is planted behind the guards of the book, and found and named."""

import json
import re
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from inventory.actions.lots import move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Change, Delivery, Lot, Posting, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.verification import (
    CHECKS,
    GUARDS,
    WORKING_TRIGGERS,
    append_only_tables,
    figures,
    first_fault,
    one_moment,
)
from tests.factories.book import lift_guards, run, tamper
from tests.factories.inventory import KG, BinFactory, grams, make_act, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept
from workshop.actions.runs import close_run

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def book(operator, lead):
    """A delivery, a move that was reversed, a closed run and its offcut in a bin."""
    _bin, lot = make_full_bin(operator)
    wrong = move_lot(lot=lot, bin=BinFactory(), mass=grams(500), act=make_act(operator))
    reverse_posting(posting=wrong, act=make_act(lead, "wrong bin"))
    made = make_run(operator)
    load(made, lot, operator, 6 * KG)
    weigh_out(made, operator, "part", 5 * KG, pieces=1)
    weigh_out(made, operator, "offcut", KG, bin=BinFactory())
    close_run(run=made, act=make_act(operator))
    return lot


@pytest.fixture
def loose_checks():
    """CHECK constraints do not apply, as in a file edited elsewhere."""
    if connection.vendor == "sqlite":
        run("PRAGMA ignore_check_constraints = ON")
    else:
        run(
            "SET CONSTRAINTS ALL IMMEDIATE",
            "ALTER TABLE inventory_lot DROP CONSTRAINT lot_gives_no_more_than_it_took",
            "ALTER TABLE inventory_transfer DROP CONSTRAINT transfer_has_mass",
        )
    yield
    if connection.vendor == "sqlite":
        run("PRAGMA ignore_check_constraints = OFF")


def set_lot(lot, assignment):
    run(f"UPDATE inventory_lot SET {assignment} WHERE id = {lot.pk}")  # noqa: S608


def set_transfer(transfer, assignment):
    tamper(f"UPDATE inventory_transfer SET {assignment} WHERE id = {transfer.pk}")  # noqa: S608


def fault_of(kind):
    return list(CHECKS[kind]())


def test_a_book_that_only_actions_wrote_has_no_fault(book):
    assert first_fault() is None


def test_an_empty_book_has_no_fault(db):
    assert first_fault() is None


def test_the_first_kind_of_fault_is_named_with_its_rows(book):
    set_lot(book, "in_mg = in_mg + 1")
    assert first_fault() == ("counters", fault_of("counters"))


def test_names_no_more_rows_than_asked_for(book, operator):
    run("UPDATE inventory_lot SET in_mg = in_mg + 1")
    assert len(first_fault(most=2)[1]) == 2


def test_finds_a_counter_that_is_a_milligram_off(book):
    set_lot(book, "in_mg = in_mg + 1")
    assert fault_of("counters") == [
        f"lot {book.code}: counts 10000001 mg in and 6000000 mg out, "
        "its transfers say 10000000 mg and 6000000 mg"
    ]


def test_finds_a_book_that_does_not_add_up(book):
    set_lot(book, "in_mg = in_mg + 7")
    assert fault_of("total") == [
        "the book: 10000000 mg came in, 10000007 mg are held and "
        "0 mg went out, a difference of -7 mg"
    ]


def test_finds_a_lot_that_holds_less_than_nothing(book, loose_checks):
    set_lot(book, "out_mg = in_mg + 1")
    assert fault_of("masses") == [f"lot {book.code}: took 10000000 mg, gave 10000001 mg"]


def test_finds_a_transfer_of_no_mass(book, loose_checks):
    set_transfer(Transfer.objects.last(), "mass_mg = 0")
    assert fault_of("masses") == [f"{Transfer.objects.last().posting.number}: a transfer of 0 mg"]


def test_finds_two_fills_in_one_bin(book, operator):
    other = make_delivery(operator).lot
    run("DROP INDEX lot_one_open_per_bin")
    set_lot(other, f"bin_id = {book.bin_id}")
    assert fault_of("bins") == [
        f"bin {book.bin.name}: holds lots {book.code}, {other.code} at once"
    ]


def test_finds_a_charge_that_was_closed_with_something_in_it(book):
    charged = Lot.objects.get(kind="charge")
    set_lot(charged, "out_mg = out_mg - 3")
    assert fault_of("charges") == [
        f"lot {charged.code}: closed with 6000000 mg in and 5999997 mg out"
    ]


def test_finds_lots_that_give_to_each_other_in_a_ring(book):
    charged, part = Lot.objects.get(kind="charge"), Lot.objects.get(kind="part")
    set_transfer(book.taken.first(), f"source_id = {part.pk}")
    (ring,) = fault_of("rings")
    assert ring.startswith("lots ")
    assert {book.code, charged.code, part.code} == set(ring.removeprefix("lots ").split(" > "))


def test_finds_a_mass_that_was_changed_after_it_was_written(book):
    transfer = Transfer.objects.last()
    set_transfer(transfer, "mass_mg = mass_mg + 1")
    assert fault_of("digests") == [
        f"{transfer.posting.number}: its rows were changed after it was written"
    ]


@pytest.mark.parametrize(
    "assignment",
    ["role = 'loss'", "melted = NOT melted", "uncertainty_ug = 1", "target_id = NULL"],
)
def test_finds_any_other_change_of_a_transfer(book, assignment):
    transfer = Transfer.objects.last()
    set_transfer(transfer, assignment)
    assert fault_of("digests") == [
        f"{transfer.posting.number}: its rows were changed after it was written"
    ]


@pytest.mark.parametrize(
    "assignment",
    [
        "reason = 'none'",
        "kind = 'correct'",
        "reference = 'run R-9999'",
        "happened_at = '2020-01-01 00:00:00'",
        "fingerprint = 'f00'",
    ],
)
def test_finds_a_change_of_a_posting(book, assignment):
    posting = Posting.objects.first()
    tamper(f"UPDATE inventory_posting SET {assignment} WHERE id = {posting.pk}")  # noqa: S608
    assert fault_of("digests") == [f"{posting.number}: its rows were changed after it was written"]


def test_finds_a_transfer_that_was_taken_out(book):
    transfer = Transfer.objects.last()
    tamper(f"DELETE FROM inventory_transfer WHERE id = {transfer.pk}")  # noqa: S608
    assert fault_of("digests") == [
        f"{transfer.posting.number}: its rows were changed after it was written"
    ]


def test_finds_a_request_that_was_changed(book):
    posting = Posting.objects.first()
    tamper(f"UPDATE inventory_posting SET request = '{{}}' WHERE id = {posting.pk}")  # noqa: S608
    assert fault_of("fingerprints") == [
        f"{posting.number}: the request is not the one that was fingerprinted"
    ]


def test_finds_a_change_without_mass_that_was_altered(book):
    change = Change.objects.first()
    tamper(f"UPDATE inventory_change SET request = '{{}}' WHERE id = {change.pk}")  # noqa: S608
    assert fault_of("fingerprints") == [
        f"change {change.uuid}: the request is not the one that was fingerprinted"
    ]


def test_finds_a_reversal_that_is_no_mirror(book):
    back = Transfer.objects.get(reverses__isnull=False)
    set_transfer(back, "mass_mg = mass_mg - 1")
    assert fault_of("mirrors") == [
        f"{back.posting.number}: a transfer is not the mirror of the one it reverses"
    ]


def test_finds_a_reversal_that_takes_back_less_than_all(book):
    back = Transfer.objects.get(reverses__isnull=False)
    posting = back.reverses.posting
    tamper(f"DELETE FROM inventory_transfer WHERE id = {back.pk}")  # noqa: S608
    assert fault_of("mirrors") == [
        f"{posting.number}: was reversed, yet one of its transfers still stands"
    ]


def test_finds_a_reversal_that_does_more_than_take_back(book):
    back = Transfer.objects.get(reverses__isnull=False)
    set_transfer(back, "reverses_id = NULL")
    assert f"{back.posting.number}: a reversal with a transfer of its own" in fault_of("mirrors")


def test_finds_a_delivery_whose_net_mass_did_not_come_in(book):
    delivery = Delivery.objects.get()
    run("UPDATE inventory_delivery SET net_mg = net_mg - 1")
    assert fault_of("deliveries") == [
        f"{delivery.number} (lot {book.code}): net 9999999 mg, came in 10000000 mg"
    ]


def test_a_delivery_whose_coming_in_was_reversed_is_no_fault(operator, lead):
    make_delivery(operator)
    reverse_posting(posting=Posting.objects.get(), act=make_act(lead, "entered twice"))
    assert first_fault() is None


def test_finds_a_lot_from_outside_without_a_record(book):
    run("UPDATE inventory_delivery SET lot_id = NULL, refusal = 'wet'")
    assert fault_of("deliveries") == [f"lot {book.code}: came from outside without a delivery"]


def test_finds_mass_out_of_nowhere(book):
    transfer = Transfer.objects.filter(role="offcut").get()
    set_transfer(transfer, "source_id = NULL")
    assert fault_of("deliveries") == [
        f"{transfer.posting.number}: mass came from outside into lot "
        f"{transfer.target.code}, which was not delivered"
    ]


def test_finds_a_book_without_its_guards(book):
    lift_guards()
    assert "inventory_transfer: trigger" in "".join(fault_of("guards"))
    assert first_fault()[0] == "guards"


def test_no_guard_is_on_a_table_that_is_not_known_to_be_append_only(db):
    tables = "|".join(append_only_tables())
    known = re.compile(f"({tables})_({'|'.join(GUARDS[connection.vendor])})")
    with connection.cursor() as cursor:
        cursor.execute(WORKING_TRIGGERS[connection.vendor])
        ours = {name for (name,) in cursor.fetchall() if not name.startswith("RI_")}
    assert {name for name in ours if not known.fullmatch(name)} == set()


@pytest.mark.parametrize("table", append_only_tables())
def test_finds_each_guard_that_is_gone(db, table):
    assert fault_of("guards") == []
    for guard in GUARDS[connection.vendor]:
        run(
            f"DROP TRIGGER {table}_{guard}"
            + (f" ON {table}" if connection.vendor != "sqlite" else "")
        )
    assert fault_of("guards") == [
        f"{table}: trigger {table}_{guard} is missing" for guard in GUARDS[connection.vendor]
    ]


def test_every_figure_is_counted(book):
    assert figures() == {
        "postings": 6,
        "transfers": 6,
        "lots": 5,
        "changes": 2,
        "received_mg": 10 * KG,
        "held_mg": 10 * KG,
        "gone_mg": 0,
    }


def test_the_command_prints_figures(book):
    out = StringIO()
    call_command("verify_ledger", stdout=out)
    assert "10 kg" in out.getvalue()
    assert "rings" in out.getvalue()


def test_the_command_answers_as_json(book):
    out = StringIO()
    call_command("verify_ledger", "--json", stdout=out)
    answer = json.loads(out.getvalue())
    assert (answer["ok"], answer["fault"], answer["rows"]) == (True, None, [])
    assert answer["figures"]["held_mg"] == 10 * KG


def test_the_command_fails_on_the_first_kind_of_fault_and_names_the_rows(book):
    set_lot(book, "in_mg = in_mg + 1")
    out = StringIO()
    with pytest.raises(CommandError, match=f"counters(.|\n)*{book.code}") as error:
        call_command("verify_ledger", "--json", stdout=out)
    assert error.value.returncode == 1
    assert json.loads(out.getvalue())["fault"] == "counters"


@pytest.mark.django_db(transaction=True)
def test_reads_all_of_it_as_of_one_moment(operator):
    bin, lot = make_full_bin(operator)
    with one_moment():
        assert first_fault() is None
        assert figures()["held_mg"] == 10 * KG
    move_lot(lot=lot, bin=BinFactory(), act=make_act(operator))
    assert open_lot_in(bin) is None


@pytest.mark.parametrize(
    ("column", "value", "kind"),
    [("assembled_at", "opened_at", "bindings"), ("spoken_for_mg", "7", "spoken for")],
)
def test_the_command_makes_the_checks_of_the_apps_above(book, column, value, kind):
    set_lot(book, f"{column} = {value}")
    with pytest.raises(CommandError, match=f"Fault in {kind}:\nlot {book.code}: "):
        call_command("verify_ledger", stdout=StringIO())
