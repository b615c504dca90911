"""Asking back: a figure that looks like a slip is not booked before somebody said that it is right."""

from dataclasses import replace

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from inventory.actions.refusals import refusal
from inventory.calculations.surprises import Surprise
from inventory.models import Lot, Mass
from inventory.queries.masses import mass_said
from workshop.calculations.surprises import (
    capacity_surprise,
    is_melted_too_often,
    piece_surprise,
    scale_surprise,
    side_surprise,
    wanted_surprise,
)
from workshop.models import CODED, Charge, Run, Yield
from workshop.queries.expectations import (
    Filling,
    capacity_mg,
    expected_mass_mg,
    experience_of,
    filling_of,
    piece_mass_mg,
)
from workshop.queries.kept_pieces import loaded_sheets
from workshop.queries.melt_passes import passes_after
from workshop.queries.runs import balances, charge_balance

CODE = "surprising"
SENTENCES = {
    "capacity": _("The charge would hold %(value)s, and %(expected)s is what goes in at once."),
    "wanted": _("You entered %(value)s where %(expected)s is wanted in all."),
    "piece": _("That makes %(value)s a piece, and one should weigh %(expected)s."),
    "side": _("You entered %(value)s where runs like this give about %(expected)s."),
    "step": _("You entered %(value)s, and the scale shows steps of %(expected)s."),
    "scale": _("You entered %(value)s, and the scale weighs %(expected)s at most."),
}
TOO_MUCH = {
    "wanted": _("You entered %(value)s, about %(factor)s times the %(expected)s that is wanted."),
    "piece": _("That makes %(value)s a piece, about %(factor)s times the usual %(expected)s."),
    "side": _("You entered %(value)s, about %(factor)s times the usual %(expected)s."),
}
TOO_LITTLE = {
    "wanted": _("You entered %(value)s; the %(expected)s wanted is about %(factor)s times that."),
    "piece": _(
        "That makes %(value)s a piece; the usual %(expected)s is about %(factor)s times that."
    ),
    "side": _("You entered %(value)s; the usual %(expected)s is about %(factor)s times that."),
}


def ask_back(found: list[Surprise | None], *, also: str = "") -> None:
    """Refuse `surprising` with the first surprise in a sentence; an act that says it is confirmed passes.

    `also` is what else is to be confirmed with the same tap, in a sentence or empty.
    """
    first = next(filter(None, found), None)
    sentences = [said(first)] if first else []
    if sentences or also:
        raise refusal(CODE, " ".join([*sentences, *filter(None, [also])]))


def said(found: Surprise) -> str:
    """Return a surprise in a sentence."""
    facts = {
        "value": mass_said(round(found.value_mg)),
        "expected": mass_said(round(found.expected_mg)),
        "factor": found.factor,
    }
    slipped = TOO_MUCH if found.is_above else TOO_LITTLE
    return (slipped if found.factor else SENTENCES)[found.code] % facts


def passes_note(run: Run, charge: Charge, lot: Lot, mass: Mass) -> str:
    """Return in a sentence that a load takes the charge above the pass limit of its design, or nothing."""
    found = passes_after(run, charge, lot, mass.mg)
    if found is None or not is_melted_too_often(
        found.limit, of_load=found.of_load, of_charge=found.of_charge
    ):
        return ""
    sentence = ngettext(
        "%(share)s\u00a0%% of the charge would be material that was melted before; "
        "%(design)s takes %(most)s\u00a0%% at most.",
        "%(share)s\u00a0%% of the charge would be material that was melted %(times)s times or more; "
        "%(design)s takes %(most)s\u00a0%% at most.",
        found.limit.times,
    )
    return sentence % {
        "share": found.percent,
        "times": found.limit.times,
        "design": run.design.name,
        "most": found.limit.most_percent,
    }


def ask_about_load(run: Run, charge: Charge, lot: Lot, mass: Mass, *, spoken: str = "") -> None:
    """Ask back a load that is hardly anything, far too much, more than the machine takes, or melted too often.

    `spoken` says which run is to cut what is loaded, in a sentence or empty.
    """
    experience = experience_of(run)
    filling = filling_of(run, balances(run), experience)
    ask_back(
        [
            scale_note(mass),
            wanted_surprise(
                mass_mg=mass.mg,
                loaded_mg=filling.run_mg,
                wanted_mg=filling.wanted_mg,
                is_planned=bool(run.planned_pieces),
            ),
            capacity_surprise(
                total_mg=filling.charge_mg + mass.mg,
                capacity_mg=None if is_as_planned(run, filling, mass.mg) else capacity_mg(run),
            ),
        ],
        also=" ".join(filter(None, [spoken, passes_note(run, charge, lot, mass)])),
    )


def is_as_planned(run: Run, filling: Filling, mass_mg: int) -> bool:
    """Return whether a load is within what several cycles want: the machine is then filled cycle by cycle."""
    if not run.planned_pieces or not run.design:
        return False
    after = replace(filling, run_mg=filling.run_mg + mass_mg)
    has_cycles = run.planned_pieces > run.design.pieces_per_cycle
    return has_cycles and after.wanted_mg is not None and not after.over_mg


def ask_about_yield(run: Run, charge, outcome) -> None:
    """Ask back pieces far off their mass, and offcuts, dust or purging far off what such runs gave."""
    experience = experience_of(run)
    kind, mass, pieces = outcome.kind, outcome.mass, outcome.pieces
    piece_mg = piece_mass_mg(run, experience) if kind == Yield.Kind.PART else None
    piece_mg = kept_mass_mg(run, outcome) if kind == Yield.Kind.KEPT else piece_mg
    is_side = kind not in {*CODED, Yield.Kind.LEFTOVER}
    side_mg = expected_mass_mg(charge_balance(charge), kind, experience) if is_side else None
    ask_back(
        [
            piece_surprise(mass_mg=mass.mg, pieces=pieces, expected_mg=piece_mg),
            side_surprise(mass_mg=mass.mg, expected_mg=side_mg),
            scale_note(mass, is_whole=False),
        ]
    )


def kept_mass_mg(run: Run, outcome) -> int | None:
    """Return what a kept piece should weigh by its area, as the sheets loaded do."""
    found = [each for each in loaded_sheets(run) if outcome.sheet in {None, each.design}]
    return found[0].mass_of_mg(outcome.size) if len(found) == 1 else None


def scale_note(mass: Mass, *, is_whole: bool = True) -> Surprise | None:
    """Return a surprise when the scale named cannot have shown the mass.

    Pieces may have been weighed one by one, so only a whole load is held against the most it weighs.
    """
    scale = mass.scale
    if scale is None:
        return None
    most_mg = scale.capacity_mg if is_whole else None
    return scale_surprise(mass_mg=mass.mg, resolution_mg=scale.resolution_mg, capacity_mg=most_mg)
