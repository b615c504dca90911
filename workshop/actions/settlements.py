"""The settlement of a visit: what each bin gave goes through one run into the pieces made of it."""

from dataclasses import dataclass, replace

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act
from inventory.actions.locks import fresh, lock_lots
from inventory.actions.refusals import refusal
from inventory.models import Basis, Bin, Lot, Mass
from inventory.queries.masses import mass_said
from products.models import Part
from workshop.actions.charges import Portion, drawn_mass, load_run
from workshop.actions.machines import remember_polymer
from workshop.actions.runs import RunPlan, close_run, open_run
from workshop.actions.yields import Outcome, yield_from_run
from workshop.calculations.visits import PieceShare, piece_share
from workshop.models import Piece, Run, Visit


@dataclass(frozen=True)
class Drawn:
    """What a bin gave: a mass, or what the scale shows of it afterwards; and what is not in the pieces.

    Offcuts and purging without a bin are thrown away.
    """

    bin: Bin
    mass: Mass | None = None
    remaining: Mass | None = None
    offcut: Outcome | None = None
    purging: Outcome | None = None
    lost_mg: int = 0

    @property
    def sides(self) -> list[Outcome]:
        """Return the offcuts and purging that there are."""
        return [each for each in (self.offcut, self.purging) if each]

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        things = ("mass", "remaining", "offcut", "purging")
        parts = {name: getattr(self, name) for name in things}
        plain = {name: each.plain() if each else None for name, each in parts.items()}
        return plain | {"bin": self.bin.code, "lost_mg": self.lost_mg}


def settle_run(*, visit: Visit, groups: dict[Lot, list[Piece]], drawn, act: Act) -> Run:
    """Open the run of a visit, book each bin as a charge of it, close it, and make the parts known.

    The caller has locked the visit and answers repeats. A purge between two polymers was written
    down when it happened, so here the machine takes each of them, and remembers what it did before.
    """
    plan = RunPlan(
        operation="inject",
        machine=visit.machine,
        design=visit.design,
        planned_pieces=sum(map(len, groups.values())),
        note=str(_("visit %(number)s") % {"number": visit.number}),
    )
    began = replace(act, happened_at=visit.started_at)
    run = open_run(plan=plan, act=began.followed_by("open"))
    machine = fresh(visit.machine)
    last = machine.last_polymer
    lot_of = {lot.bin_id: lot for lot in groups}
    for each in drawn:
        lot = lot_of[each.bin.pk]
        remember_polymer(fresh(machine), lot.polymer)
        try:
            settle_bin(run, each, lot, groups[lot], act)
        except ValidationError as refused:
            raise told_of(each.bin, refused) from None
    remember_polymer(fresh(machine), last or lot.polymer)
    return close_run(run=run, act=act.followed_by("close"))


def told_of(bin: Bin, refused: ValidationError) -> ValidationError:
    """Return a refusal whose sentence names the bin."""
    sentence = refused.messages[0]
    if bin.name in sentence:
        return refused
    return refusal(refused.code, _("Bin %(bin)s: %(why)s"), bin=bin.name, why=sentence)


def settle_bin(run: Run, drawn: Drawn, lot: Lot, pieces: list[Piece], act: Act) -> None:
    """Load what a bin gave, and weigh it out as pieces, offcuts and purging; the rest is lost."""
    (lot,) = lock_lots(lot)
    whole = drawn.mass or (drawn_mass(lot, drawn.remaining) if drawn.remaining else None)
    guard_drawn(drawn, lot, whole)
    left_mg = whole.mg - sum(each.mass.mg for each in drawn.sides) - drawn.lost_mg
    guard_share(drawn.bin, piece_share(left_mg, len(pieces), run.design.nominal_mass_mg))
    step = replace(act, happened_at=max(piece.ended_at for piece in pieces))
    portion = Portion(lot, drawn.mass, remaining=drawn.remaining)
    keyed = f"{drawn.bin.code} %s"
    load_run(run=run, portion=portion, act=step.followed_by(keyed % "load"), is_confirmed=True)
    made = Outcome(
        "part",
        Mass(left_mg, Basis.BOOK, None, whole.uncertainty_ug),
        len(pieces),
        codes=tuple(piece.code for piece in pieces),
    )
    for outcome in (made, *drawn.sides):
        key = step.followed_by(keyed % outcome.kind)
        yield_from_run(run=run, outcome=outcome, act=key, is_confirmed=True)
    parts = {part.code: part for part in Part.objects.filter(code__in=made.codes)}
    for piece in pieces:
        piece.part = parts[piece.code]
    Piece.objects.bulk_update(pieces, ["part"])


def guard_drawn(drawn: Drawn, lot: Lot, whole: Mass | None) -> None:
    """Refuse a bin of which nothing was said, and one that cannot have given so much."""
    if whole is None or (drawn.mass and drawn.remaining):
        raise refusal("mass", _("Say what bin %(bin)s gave, or weigh it."), bin=drawn.bin.name)
    if not lot.held_mg:
        raise refusal(
            "other-fill",
            _("What bin %(bin)s held was moved since; reverse that first, then settle."),
            bin=drawn.bin.name,
        )
    if whole.mg > lot.held_mg:
        raise refusal(
            "over-book",
            _(
                "Bin %(bin)s holds %(held)s by the book and cannot have given %(mass)s; weigh again."
            ),
            bin=drawn.bin.name,
            held=mass_said(lot.held_mg),
            mass=mass_said(whole.mg),
        )


def guard_share(bin: Bin, share: PieceShare) -> None:
    """Refuse what would make the pieces of a bin far lighter or heavier than their design."""
    facts = {
        "bin": bin.name,
        "each": mass_said(share.each_mg),
        "low": mass_said(share.low_mg),
        "high": mass_said(share.high_mg),
    }
    if share.each_mg < share.low_mg:
        raise refusal(
            "too-little",
            _("Bin %(bin)s leaves %(each)s a piece, and one is at least %(low)s; weigh it again."),
            **facts,
        )
    if share.each_mg > share.high_mg:
        raise refusal(
            "too-much",
            _(
                "Bin %(bin)s leaves %(each)s a piece, and one is at most %(high)s; "
                "say what became offcuts, purging or was lost."
            ),
            **facts,
        )
