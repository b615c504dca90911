"""Plans in words: what stands in the way, and what limits."""

from math import ceil, floor

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.queries.masses import bulk_said
from workshop.calculations.draws import Obstacle
from workshop.calculations.plans import Fit
from workshop.models import Yield
from workshop.queries.plans import Planned, PlanQuestion

NOISE = 1e-7


def material_said(question: PlanQuestion) -> str:
    """Return what is to be drawn, such as blue PE-HD."""
    symbol = question.polymer.symbol
    if question.colour is None:
        return symbol
    return _("%(colour)s %(symbol)s") % {"colour": question.colour.name, "symbol": symbol}


def obstacles_said(planned: Planned) -> list[str]:
    """Return in sentences why no bins give the charge, and what is missing."""
    return [obstacle_said(each, planned.question) for each in planned.obstacles]


def obstacle_said(found: Obstacle, question: PlanQuestion) -> str:
    """Return one obstacle in a sentence; shares are rounded so that they never promise too much."""
    limit = question.design.pass_limit
    facts = {
        "mass": bulk_said(found.mass_mg),
        "material": material_said(question),
        "number": found.number,
        "most": limit.most_percent if limit else 0,
        "times": limit.times if limit else 0,
        "wanted": question.recycled_percent,
        "down": floor(found.share * 100 + NOISE),
        "up": ceil(found.share * 100 - NOISE),
    }
    sentences = {
        "short": _("%(mass)s of %(material)s are short."),
        "all-on-hold": _("All %(material)s is on hold: %(mass)s."),
        "on-hold": _("%(mass)s of %(material)s are on hold; with them it could be done."),
        "other-colour": _("With other colours it could be done: %(mass)s are there."),
        "passes": _(
            "At least %(up)s %% of the charge would have been melted %(times)s times or more before; "
            "the design allows %(most)s %%."
        ),
        "recycled": _("Recycled content reaches %(down)s %% at most; %(wanted)s %% is asked for."),
        "most-bins": ngettext(
            "It takes %(number)s bin.", "It takes %(number)s bins.", found.number
        ),
        "together": _(
            "No single limit is in the way, but all of them together are; ask for less of one."
        ),
    }
    return sentences[found.code] % facts


def fit_said(fit: Fit) -> str:
    """Return how a cycle is held against one figure, in a sentence."""
    facts = {
        "name": fit.name,
        "takes": bulk_said(fit.takes_mg),
        "asked": bulk_said(fit.asked_mg),
        "use": round(fit.use * 100),
    }
    if not fit.fits:
        return _("%(name)s takes %(takes)s at once; one cycle needs %(asked)s.") % facts
    if "above-all" in fit.notes:
        return _("One shot takes %(use)s %% of what %(name)s holds; up to 75 %% is usual.") % facts
    if "below" in fit.notes:
        return (
            _("One shot takes %(use)s %% of what %(name)s holds; 20 %% or more is usual.") % facts
        )
    return (
        _("%(name)s takes %(takes)s at once; one cycle needs %(asked)s, %(use)s %% of it.") % facts
    )


def expected_lines(planned: Planned) -> list[tuple[str, int]]:
    """Return what the charge is to become beside parts, in words and mg."""
    labels = dict(Yield.Kind.choices)
    expected = planned.charge.expected
    return [(str(labels[kind]), mg) for kind, mg in expected.items() if kind != Yield.Kind.PART]
