"""The workshop puts its own figure in the place of one of the reference data, or takes it back."""

from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from inventory.calculations.own_figures import CEILING, RULES, completed, fault_of, may_be_own
from inventory.models import OwnFigure, Polymer
from inventory.queries.own_figures import ceiling_of, own_of

FAULTS = {
    "incomplete": _("Fill every box that this figure needs."),
    "disordered": _("The values are not in order; put the least first and the most last."),
    "absurd": _("No plastic has such a figure; it lies between %(least)s and %(most)s %(unit)s."),
}


@transaction.atomic
def set_own_figure(
    *, polymer: Polymer, name: str, ends: dict[str, Decimal | None], act: Act
) -> OwnFigure:
    """Let a figure of the workshop hold for a polymer from now on; what was noted before stays as it was.

    Refuses `reason`, `no-figure` for what cannot be the workshop's own, `incomplete`, `disordered`,
    `absurd`, `above-reference` for a fume ceiling above that of the reference, and `above-fume`
    for a window that reaches above the ceiling. A repeated UUID changes nothing.
    """
    request = act.request("own figure", polymer=polymer.symbol, figure=name, values=ends)
    if done := earlier(act, request):
        return outcome_of(done, OwnFigure)
    need_reason(act)
    polymer = locked(polymer)
    guard_name(polymer, name)
    values = completed(name, ends)
    guard_values(name, values)
    guard_fumes(polymer, name, values)
    return written(polymer, name, values, request, act)


@transaction.atomic
def return_to_reference(*, polymer: Polymer, name: str, act: Act) -> OwnFigure:
    """Let the figure of the reference hold again; the workshop's own stays in the history.

    Refuses `reason`, and `no-own` when the figure is the reference's already. A repeated UUID
    changes nothing.
    """
    request = act.request("back to the reference", polymer=polymer.symbol, figure=name)
    if done := earlier(act, request):
        return outcome_of(done, OwnFigure)
    need_reason(act)
    polymer = locked(polymer)
    if name not in own_of(polymer):
        raise refusal(
            "no-own", _("The figure of the reference holds already; nothing to take back.")
        )
    return written(polymer, name, {}, request, act)


def locked(polymer: Polymer) -> Polymer:
    """Return a fresh row of the polymer, locked, so that two leads follow each other."""
    return Polymer.objects.select_for_update().get(pk=polymer.pk)


def written(polymer: Polymer, name: str, values: dict, request: dict, act: Act) -> OwnFigure:
    """Write the row of a figure and the change that it is."""
    row = OwnFigure.objects.create(
        polymer=polymer, name=name, note=act.reason, happened_at=act.at, by=act.by, **values
    )
    record_change(act=act, subject=f"{polymer.symbol} {name}", request=request, row=row)
    return row


def guard_name(polymer: Polymer, name: str) -> None:
    """Refuse `no-figure` for what is no figure, and for one by which reject material would be heated."""
    if not may_be_own(name, is_rejected=polymer.is_rejected):
        raise refusal(
            "no-figure", _("This figure of the polymer cannot be your own; choose another.")
        )


def guard_values(name: str, values: dict) -> None:
    """Refuse values that are no figure of that name."""
    if code := fault_of(name, values):
        rule = RULES[name]
        facts = {"least": f"{rule.least:g}", "most": f"{rule.most:g}", "unit": rule.unit}
        raise refusal(code, FAULTS[code], **(facts if code == "absurd" else {}))


def guard_fumes(polymer: Polymer, name: str, values: dict) -> None:
    """Refuse a ceiling above the reference's, and a window to heat by that reaches above the ceiling.

    Nothing raises the ceiling: what is in a bin is seldom one known grade, and fumes harm at once.
    """
    reference = polymer.fume_above_c
    if RULES[name].kind == CEILING and reference and values["typical"] > reference:
        raise refusal(
            "above-reference",
            _("The fume ceiling is only ever lowered; enter at most %(most)s °C."),
            most=reference,
        )
    ceiling = ceiling_of(polymer, own_of(polymer))
    if RULES[name].heats and ceiling and values["high"] > ceiling:
        raise refusal(
            "above-fume",
            _("The window reaches above %(ceiling)s °C, where it gives off fumes; end it lower."),
            ceiling=ceiling,
        )
