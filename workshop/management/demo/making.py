"""Runs of the invented year: granulate, blend, press, inject, extrude, cut and form."""

from dataclasses import dataclass

from django.db.models import Q

from inventory.models import Bin, Lot
from products.calculations.sheet_sizes import Size
from products.models import Part
from workshop.actions.charges import Portion, load_run
from workshop.actions.runs import RunPlan, close_run, open_run
from workshop.actions.yields import Outcome, yield_from_run
from workshop.management.demo.costing import minutes_for, read_meter
from workshop.management.demo.floor import KG, Floor, design, has_room
from workshop.management.demo.shots import noted, press_timed, shoot
from workshop.models import CODED, Machine, Run

CUTS = {
    "Board 600 x 600 x 20": ("Stool seat", 3),
    "Board 600 x 600 x 10": ("Shelf board", 2),
    "Sheet 500 x 500 x 6": ("Name plate", 22),
}
KEPT_SHARE = 0.25
TIMED = "Board 600 x 600 x 10"


@dataclass
class Job:
    """A run of the story with what is still in its charge."""

    floor: Floor
    run: Run
    left_mg: int = 0
    loaded_mg: int = 0
    good_mg: int = 0

    def load(self, lot: Lot, mass_mg: int | None = None, pieces: int | None = None) -> None:
        """Load some of a lot, or all of it."""
        mass = self.floor.weighed(mass_mg) if mass_mg else None
        portion = Portion(lot, mass, pieces)
        loaded = load_run(run=self.run, portion=portion, act=self.floor.act(), is_confirmed=True)
        self.left_mg += loaded.mass_mg
        self.loaded_mg += loaded.mass_mg

    def weigh_out(
        self,
        kind: str,
        mass_mg: int,
        *,
        bin: Bin | None = None,
        pieces: int = 0,
        size: Size | None = None,
    ) -> None:
        """Weigh out one thing; without a bin it is thrown away, unless it gets a code."""
        mass = self.floor.weighed(mass_mg)
        reason = "" if bin or kind in CODED else "swept up, not clean enough to keep"
        outcome = Outcome(kind, mass, pieces, bin, size=size)
        act = self.floor.act(reason=reason)
        yield_from_run(run=self.run, outcome=outcome, act=act, is_confirmed=True)
        self.left_mg -= mass.mg
        self.good_mg += mass.mg if kind in {"part", "material"} else 0

    def side(self, kind: str, mass_mg: int, place: str = "offcut wall") -> None:
        """Weigh out what is not the product into the bin of its polymer."""
        lot = self.run.charges.latest("number").lot
        bin = self.floor.bin_for(place, lot, mass_mg + KG)
        self.weigh_out(kind, mass_mg, bin=bin)

    def close(self) -> Run:
        """Close the run after the time it took; a gap that the scales cannot explain is named."""
        ended = self.run.opened_at + minutes_for(self.run, self.loaded_mg)
        self.floor.now = max(self.floor.now, ended)
        read_meter(self.floor, self.run, self.good_mg)
        return close_run(
            run=self.run, act=self.floor.act(reason="stuck to the tool and scraped off")
        )


def start(floor: Floor, operation: str, machine: Machine, name: str = "", **more) -> Job:
    """Open a run."""
    thing = design(name) if name else None
    plan = RunPlan(
        operation=operation, machine=machine, design=thing, tooling=floor.tool_of.get(name), **more
    )
    return Job(floor, open_run(plan=plan, act=floor.act(floor.operator())))


def stock(floor: Floor, place: str, least_mg: int) -> list[Lot]:
    """Return what the bins of a place hold, fullest first, leaving out holds and near-empty bins."""
    lots = floor.fills(place).values()
    usable = [lot for lot in lots if lot.held_mg >= least_mg and not lot.is_held]
    return sorted(usable, key=lambda lot: -lot.held_mg)


def grindable(floor: Floor) -> list[Lot]:
    """Return what waits to be ground, in turn from the intake and from the offcut wall."""
    lots = stock(floor, "intake", 2 * KG) + stock(floor, "offcut wall", 4 * KG)
    fresh = [lot for lot in lots if lot.form != "flake" and not lot.polymer.is_rejected]
    return sorted(fresh, key=lambda lot: (-lot.held_mg // (15 * KG), floor.rng.random()))


def granulate(floor: Floor, *, returned: bool = False) -> bool:
    """Grind whole items or offcuts, and worn parts that came back, into flake."""
    for lot in grindable(floor):
        target = floor.bin_for("flake rack", lot, min(lot.held_mg, 24 * KG) + 2 * KG)
        if target is None:
            continue
        machine = floor.machine("granulator")
        floor.purge_for(machine, lot.polymer)
        job = start(floor, "granulate", machine)
        job.load(lot, None if lot.held_mg <= 24 * KG else 22 * KG)
        if returned and target.colour.is_mixed:
            load_worn_parts(job, lot)
        job.side("dust", max(20_000, job.left_mg // 180), "saw")
        job.weigh_out("material", job.left_mg - floor.rng.choice([0, 1000, 2000]), bin=target)
        job.close()
        return True
    return False


def load_worn_parts(job: Job, lot: Lot) -> None:
    """Load parts of the same polymer that came back from use."""
    was_out = Q(handovers__isnull=False) | Q(places__isnull=False)
    back = Part.objects.here().filter(was_out, lot__polymer=lot.polymer, lot__assembled_at=None)
    for part in back.distinct().select_related("lot").order_by("pk")[:3]:
        job.load(part.lot)


def press(floor: Floor) -> bool:
    """Press one to three sheets from one polymer in one to three colours."""
    names = ["Board 600 x 600 x 10", "Board 600 x 600 x 20", "Sheet 500 x 500 x 6"]
    floor.rng.shuffle(names)
    for name in names:
        nominal_mg = design(name).nominal_mass_mg
        for symbol in design(name).polymers.all():
            lots = [lot for lot in stock(floor, "flake rack", nominal_mg) if lot.polymer == symbol]
            if lots:
                return press_sheets(floor, name, lots, nominal_mg)
    return False


def press_sheets(floor: Floor, name: str, lots: list[Lot], nominal_mg: int) -> bool:
    """Press sheets, each one its own charge."""
    machine = floor.machine("press")
    floor.purge_for(machine, lots[0].polymer)
    pieces = floor.rng.choice([1, 1, 2, 3])
    more = {"planned_pieces": pieces} | noted(name, Run.objects.count())
    job = start(floor, "press", machine, name, **more)
    for number in range(pieces):
        charge_mg = round(nominal_mg * 1.05)
        if sum(max(0, lot.held_mg - KG) for lot in lots) < charge_mg:
            break
        job.left_mg = 0
        fill_frame(floor, job, lots, charge_mg)
        if name == TIMED:
            press_timed(floor, job.run, number)
        job.side("offcut", job.left_mg // 28)
        lost = floor.rng.random() < 0.08
        short_mg = job.left_mg // 60 if lost else floor.rng.choice([0, 0, 1000])
        job.weigh_out("part", job.left_mg - short_mg, pieces=1)
        for lot in lots:
            lot.refresh_from_db()
    if not job.run.charges.exists():
        return abandon_empty(floor, job)
    job.close()
    return True


def abandon_empty(floor: Floor, job: Job) -> bool:
    """Close a run that never began; cannot happen while stock was counted right."""
    raise RuntimeError(f"{job.run} found no material at {floor.now}")


def fill_frame(floor: Floor, job: Job, lots: list[Lot], charge_mg: int) -> None:
    """Load a frame from up to three bins."""
    wanted_mg = charge_mg
    for lot in lots[: floor.rng.choice([1, 2, 3])]:
        part_mg = min(lot.held_mg - 1000, wanted_mg if lot is lots[2:3] else round(charge_mg * 0.6))
        part_mg = min(part_mg, wanted_mg) // 1000 * 1000
        if part_mg >= 100_000:
            job.load(lot, part_mg)
            wanted_mg -= part_mg
    for lot in lots:
        lot.refresh_from_db()
        part_mg = min(lot.held_mg - 1000, wanted_mg) // 1000 * 1000
        if part_mg >= 100_000:
            job.load(lot, part_mg)
            wanted_mg -= part_mg


def inject(floor: Floor) -> bool:
    """Mould small things by the bag or by the piece."""
    name = floor.rng.choice(["Coat hook", "Plant clip", "Soap dish"])
    allowed = set(design(name).polymers.all())
    lots = [lot for lot in stock(floor, "flake rack", 4 * KG) if lot.polymer in allowed]
    if not lots:
        return False
    lot = floor.rng.choice(lots[:4])
    machine = floor.machine("injection")
    floor.purge_for(machine, lot.polymer)
    job = start(floor, "inject", machine, name, **noted(name, Run.objects.count()))
    job.load(lot, floor.rng.randrange(1200, 3800) * 1000)
    each_mg = design(name).nominal_mass_mg
    if job.run.pk % 4 == 0 or name == "Coat hook":
        shoot(floor, job.run, 12 if job.run.pk % 4 == 0 else 5)
    pieces = int(job.left_mg * 0.86 // each_mg)
    if name == "Soap dish":
        pieces = min(pieces, 20)
    job.weigh_out("part", round(pieces * each_mg * floor.rng.uniform(0.985, 1.01)), pieces=pieces)
    job.side("offcut", job.left_mg // 4)
    job.side("reject", max(1000, job.left_mg // 5))
    job.side("purging", max(1000, job.left_mg // 6))
    if job.left_mg > 30_000:
        job.weigh_out("leftover", job.left_mg - 2000, bin=lot.bin)
    job.close()
    return True


def extrude(floor: Floor) -> bool:
    """Draw beams of a metre each."""
    name = "Beam 40 x 40, 1 m"
    lots = [lot for lot in stock(floor, "flake rack", 12 * KG) if lot.polymer.symbol == "PE-HD"]
    if not lots:
        return False
    machine = floor.machine("extruder")
    floor.purge_for(machine, lots[0].polymer)
    job = start(floor, "extrude", machine, name)
    job.load(lots[0], 9 * KG + floor.rng.randrange(0, 2000) * 1000)
    pieces = job.left_mg // 1_640_000
    job.weigh_out("part", pieces * 1_528_000, pieces=pieces)
    job.side("purging", job.left_mg // 2)
    job.side("offcut", job.left_mg - 3000)
    job.close()
    return True


def cut(floor: Floor, *, keeps: bool = False) -> bool:
    """Cut a sheet into smaller things, or fewer of them and keep a piece; the rest goes back to its bins."""
    sheets = Part.objects.here().filter(design__name__in=CUTS, handovers=None, length_um=None)
    sheet = sheets.select_related("lot__polymer", "design").order_by("pk").first()
    if sheet is None:
        return False
    name, pieces = CUTS[sheet.design.name]
    allowed = design(name).polymers.all()
    if sheet.lot.polymer not in allowed:
        return False
    pieces = max(1, pieces // 2) if keeps else pieces
    job = start(floor, "cut", floor.machine("cutter"), name)
    job.load(sheet.lot)
    job.weigh_out("part", pieces * design(name).nominal_mass_mg, pieces=pieces)
    job.side("dust", sheet.lot.in_mg // 70, "saw")
    if keeps:
        size = Size(sheet.design.length_um, round(sheet.design.width_um * KEPT_SHARE))
        job.weigh_out("kept", round(sheet.lot.in_mg * KEPT_SHARE), pieces=1, size=size)
    job.side("offcut", job.left_mg - floor.rng.choice([0, 1000]))
    job.close()
    return True


def form(floor: Floor) -> bool:
    """Bend a sheet into a tray."""
    sheet = (
        Part.objects.here().filter(design__name="Sheet 500 x 500 x 6").select_related("lot").first()
    )
    if sheet is None or sheet.lot.in_mg < 1_500_000:
        return False
    job = start(floor, "form", floor.machine("forming"), "Desk tray")
    job.load(sheet.lot)
    job.side("offcut", max(5000, job.left_mg - 1_480_000))
    job.weigh_out("part", job.left_mg, pieces=1)
    job.close()
    return True


def blend(floor: Floor) -> bool:
    """Tumble two colours of one polymer into its mixed bin."""
    for lot in stock(floor, "flake rack", 6 * KG):
        others = [
            each for each in stock(floor, "flake rack", 4 * KG) if each.polymer == lot.polymer
        ]
        pair = [each for each in others if not each.colour.is_mixed][:2]
        mixed = [bin for bin in floor.bins("flake rack", lot.polymer) if bin.colour.is_mixed]
        fills = floor.fills("flake rack")
        target = next((b for b in mixed if has_room(b, fills.get(b.pk), 8 * KG)), None)
        if len(pair) == 2 and target:
            machine = floor.machine("blender")
            floor.purge_for(machine, lot.polymer)
            job = start(floor, "blend", machine)
            job.load(pair[0], 3 * KG)
            job.load(pair[1], 2 * KG)
            job.weigh_out("material", job.left_mg - 1000, bin=target)
            job.close()
            return True
    return False
