"""The order of the invented year: deliveries, runs, handovers, returns, mistakes, open days, open runs."""

from datetime import datetime, timedelta

from inventory.models import Bin
from products.actions.labels import print_labels
from products.actions.parts import hand_over_part, take_back_part
from products.models import Handover, LabelGrid, Part
from products.queries.things import Thing
from workshop.actions.runs import abandon_run
from workshop.management.demo import making
from workshop.management.demo.assembling import put_together_and_mend
from workshop.management.demo.auditing import look_after_the_book
from workshop.management.demo.costing import price_deliveries, set_demo_rates
from workshop.management.demo.counting import count_around
from workshop.management.demo.floor import KG, Floor, design, set_up
from workshop.management.demo.intake import deliver, lift_old_holds, mix_up_and_mend, tidy_floor
from workshop.management.demo.mending import correct_a_load
from workshop.management.demo.planning import plan_ahead
from workshop.management.demo.sharing import share_and_set_aside
from workshop.management.demo.shots import press_one, set_demo_windows, shoot
from workshop.management.demo.visiting import hold_open_day, let_make
from workshop.models import Run

DELIVERIES, RUNS, DAYS = 60, 150, 365
LABELLED_PARTS = 40
OPEN_PIECES = 5

TURNS = (
    ("granulate", 11), ("press", 9), ("cut", 7), ("inject", 8), ("extrude", 2), ("form", 2), ("blend", 2),
)  # fmt: skip


def live_through_a_year(now: datetime) -> Floor:
    """Build the whole demo through the real actions, ending now."""
    start = now - timedelta(days=DAYS)
    floor = set_up(start)
    set_demo_windows(floor)
    set_demo_rates(floor)
    delivered = live_on(floor, start)
    floor.now = now - timedelta(hours=8)
    plan_ahead(floor)
    floor.now = now - timedelta(hours=5)
    for number in range(delivered, DELIVERIES):
        deliver(floor, number)
    end_the_year(floor, now)
    return floor


def live_on(floor: Floor, start: datetime) -> int:
    """Do run after run through the year and return how many deliveries came."""
    delivered, step, steps = 0, 0, RUNS * 2
    while Run.objects.count() < RUNS - 4 and step < steps:
        day = start + timedelta(days=(DAYS - 2) * Run.objects.count() // RUNS)
        floor.now = day.replace(hour=8, minute=10) + timedelta(minutes=47 * step % 480)
        due = DELIVERIES * (Run.objects.count() + 18) / RUNS
        while delivered < min(due, DELIVERIES):
            deliver(floor, delivered)
            delivered += 1
        work(floor, step)
        look_around(floor, step)
        step += 1
    return delivered


def end_the_year(floor: Floor, now: datetime) -> None:
    """Do what stands at the end: a last cut, prices, two open runs, labels, counts, a visit, what is shared."""
    making.cut(floor, keeps=True)
    floor.now = now - timedelta(hours=2)
    price_deliveries(floor)
    leave_two_open(floor)
    stick_labels(floor)
    count_around(floor)
    let_make(floor, OPEN_PIECES, seed=3)
    put_together_and_mend(floor)
    share_and_set_aside(floor)
    look_after_the_book(floor)


def work(floor: Floor, step: int) -> None:
    """Do one run: the operation whose turn it is, or the first other one that has material."""
    names = [name for name, weight in TURNS for _ in range(weight)]
    first = floor.rng.choice(names)
    for name in [first, *(name for name, _ in TURNS if name != first)]:
        if name == "granulate":
            done = making.granulate(floor, returned=step % 3 == 0)
        else:
            done = getattr(making, name)(floor)
        if done:
            return


def look_around(floor: Floor, step: int) -> None:
    """Do what a workshop does beside making."""
    tidy_floor(floor)
    if step % 4 == 1:
        hand_over(floor)
    if step % 9 == 5:
        take_back(floor)
    if step % 25 == 20:
        mix_up_and_mend(floor)
    if step % 40 == 39:
        lift_old_holds(floor)
    once = {
        70: stop_short,
        90: hold_open_day,
        110: correct_a_load,
    }.get(step)
    if once:
        once(floor)


def hand_over(floor: Floor) -> None:
    """Hand two finished parts over to somebody."""
    finished = Part.objects.here().filter(handovers=None).exclude(design__form="sheet")
    for part in finished.order_by("pk")[:2]:
        hand_over_part(part=part, to="invented customer", act=floor.act(floor.operator()))


def take_back(floor: Floor) -> None:
    """Take back the parts that have been in use longest."""
    for handover in Handover.objects.filter(back_at=None).order_by("pk")[:2]:
        take_back_part(part=handover.part, state="worn", act=floor.act(floor.operator()))


def stop_short(floor: Floor) -> None:
    """One run is abandoned after loading: the heater failed."""
    lot = making.stock(floor, "flake rack", 2 * KG)[0]
    machine = floor.machine("blender")
    floor.purge_for(machine, lot.polymer)
    job = making.start(floor, "blend", machine)
    job.load(lot, KG)
    abandon_run(run=job.run, act=floor.act("lead", "drum seal broke, flake on the floor"))


def leave_two_open(floor: Floor) -> None:
    """Leave one run loaded and one with a first part weighed out."""
    lots = making.stock(floor, "flake rack", 4 * KG)
    board = design("Board 600 x 600 x 10")
    allowed = set(board.polymers.all())
    lot = next(lot for lot in lots if lot.polymer in allowed)
    machine = floor.machine("press")
    floor.purge_for(machine, lot.polymer)
    job = making.start(floor, "press", machine, board.name, planned_pieces=2)
    job.load(lot, board.nominal_mass_mg * 21 // 20)
    press_one(floor, job.run)
    job.weigh_out("part", board.nominal_mass_mg, pieces=1)
    hooks = set(design("Coat hook").polymers.all())
    lot = next(each for each in lots if each.polymer in hooks and each.pk != lot.pk)
    machine = floor.machine("injection")
    floor.purge_for(machine, lot.polymer)
    job = making.start(floor, "inject", machine, "Coat hook", planned_pieces=40)
    job.load(lot, 2 * KG)
    shoot(floor, job.run, 8)


def stick_labels(floor: Floor) -> None:
    """Print a sheet for every bin in use, and one for the parts made last."""
    grid = LabelGrid.objects.earliest("pk")
    bins = [Thing("bin", code) for code in Bin.objects.in_use().values_list("code", flat=True)]
    made = Part.objects.made().order_by("-pk").values_list("code", flat=True)[:LABELLED_PARTS]
    parts = [Thing("part", code) for code in made]
    print_labels(things=bins, grid=grid, act=floor.act("lead"))
    print_labels(things=parts, grid=grid, act=floor.act(floor.operator()), start=4)
