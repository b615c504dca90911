"""Plans in words: what stands in the way, and what limits."""

from decimal import Decimal
from math import ceil, floor

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inventory.queries.durations import duration_said
from inventory.queries.masses import bulk_said, exact_mass_said
from products.models.windows import number_in_words
from workshop.calculations.draws import Obstacle
from workshop.calculations.plan_fits import Fit
from workshop.calculations.plans import ChargePlan
from workshop.calculations.residences import LONG_STAY_MIN, MINUTE_S
from workshop.models import Yield
from workshop.queries.plans import Planned, PlanQuestion

NOISE = 1e-7
FIT_DIGITS, MOST_DIGITS = 4, 12
MG_PER_G = 1000
NO_BREAK = "\N{NO-BREAK SPACE}"


def material_said(question: PlanQuestion) -> str:
    """Return what is to be drawn, such as blue PE-HD."""
    symbol = question.polymer.symbol
    if question.colour is None:
        return symbol
    return _("%(colour)s %(symbol)s") % {"colour": question.colour.name, "symbol": symbol}


def obstacles_said(planned: Planned) -> list[str]:
    """Return in sentences why no bins give the charge, and what is missing."""
    said = [obstacle_said(each, planned.question) for each in planned.obstacles]
    if [each.code for each in planned.obstacles] == ["short"]:  # else the others say what to do
        said.append(enough_said(planned.charge, planned.obstacles[0].mass_mg))
    return said


def enough_said(charge: ChargePlan, short_mg: int) -> str:
    """Return for how many pieces, in whole cycles, there is enough where so much is short."""
    cycles = (charge.charge_mg - short_mg) * charge.cycles // charge.charge_mg
    pieces = cycles * charge.pieces_made // charge.cycles
    if not pieces:
        return _("What is there is not enough for one cycle; receive more first.")
    return ngettext(
        "What is there is enough for %(pieces)s piece at most; plan that, or receive more first.",
        "What is there is enough for %(pieces)s pieces at most; plan that many, or receive more first.",
        pieces,
    ) % {"pieces": pieces}


def obstacle_said(found: Obstacle, question: PlanQuestion) -> str:
    """Return one obstacle in a sentence; shares are rounded so that they never promise too much."""
    limit = question.design.pass_limit
    facts = {
        "mass": bulk_said(found.mass_mg if found.code != "short" else whole_grams(found.mass_mg)),
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
            "At least %(up)s\u00a0%% of the charge would have been melted %(times)s times or more before; "
            "the design allows %(most)s\u00a0%%."
        ),
        "recycled": _(
            "Recycled content reaches %(down)s\u00a0%% at most; %(wanted)s\u00a0%% is asked for."
        ),
        "most-bins": ngettext(
            "It takes %(number)s bin.", "It takes %(number)s bins.", found.number
        ),
        "together": _(
            "No single limit is in the way, but all of them together are; ask for less of one."
        ),
    }
    return sentences[found.code] % facts


def whole_grams(mass_mg: int) -> int:
    """Return a mass in mg rounded up to the gram: so much to receive is enough.

    >>> whole_grams(1_000_400), whole_grams(1_000_000)
    (1001000, 1000000)
    """
    return -(-mass_mg // MG_PER_G) * MG_PER_G


def fit_said(fit: Fit) -> str:
    """Return how a cycle is held against one figure, in a sentence or two."""
    said = [sentence_of(fit) % ({"name": fit.name, "use": use_percent(fit)} | amounts_said(fit))]
    if fit.is_estimate:
        said.append(_("An estimate.") if fit.fits else _("An estimate: check it before you start."))
    if "deep" in fit.notes:
        depth = {"depth": round(fit.depth_mm)}
        said.append(
            _("Loose flake lies about %(depth)s mm high, above the frame: fill it in layers.")
            % depth
        )
    return " ".join(said + [each % facts_of_volume(fit) for each in volume_sentences(fit)])


def volume_sentences(fit: Fit) -> list[str]:
    """Return what is to be said of a shot volume or a barrel: what fills it, its use, how long melt stays."""
    said = []
    if fit.melt_mg and fit.solid_mg:
        said.append(_("It holds %(melt)s as melt; solid densities would say %(solid)s."))
    if fit.code == "shot" and "above-all" in fit.notes:
        said.append(_("One shot takes %(use)s\u00a0%% of it; up to 75\u00a0%% is usual."))
    if fit.code == "shot" and "below" in fit.notes:
        said.append(_("One shot takes %(use)s\u00a0%% of it; 20\u00a0%% or more is usual."))
    if fit.stay_s is not None:
        said.append(
            _(
                "At the cycles so far melt stays in it for about %(stay)s; up to %(usual)s is usual, "
                "and the material's data sheet has its own limit."
            )
        )
    if "long-stay" in fit.notes:
        said.append(_("That is long: lower the heat, purge before stops, and mind its fumes."))
    return said


def facts_of_volume(fit: Fit) -> dict:
    """Return what those sentences need."""
    return {
        "use": use_percent(fit),
        "melt": bulk_said(round(fit.melt_mg)) if fit.melt_mg else "",
        "solid": bulk_said(round(fit.solid_mg)) if fit.solid_mg else "",
        "stay": duration_said(fit.stay_s) if fit.stay_s is not None else "",
        "usual": duration_said(LONG_STAY_MIN * MINUTE_S),
    }


def use_percent(fit: Fit) -> int:
    """Return the share that a cycle takes in whole per cent: rounded up, and down where it is too little.

    So neither a limit that is passed nor one that is missed is said to be met.
    """
    percent = fit.use * 100
    return max(1, floor(percent + NOISE)) if "below" in fit.notes else ceil(percent - NOISE)


def amounts_said(fit: Fit) -> dict[str, str]:
    """Return what is taken and what is asked with their units, with the digits that tell them apart."""
    for digits in range(FIT_DIGITS, MOST_DIGITS):
        takes, asked = (amount_said(each, fit.unit, digits) for each in (fit.takes, fit.asked))
        if takes != asked or fit.takes == fit.asked:
            break
    return {"takes": takes, "asked": asked}


def amount_said(amount: float, unit: str, digits: int) -> str:
    """Return a volume, a force or a length with its unit, or a mass, which beyond four digits is told exactly."""
    if unit == "mg":
        write = bulk_said if digits == FIT_DIGITS else exact_mass_said
        return write(round(amount))
    if unit == "mm3":
        amount, unit = amount / 1000, "cm³"
    return f"{number_in_words(Decimal(f'{amount:.{digits}g}'))}{NO_BREAK}{unit}"


def sentence_of(fit: Fit) -> str:
    """Return the sentence of a fit, by its code and by whether it fits."""
    if fit.code in ("takes", "barrel"):
        return mass_sentence(fit)
    sentences = {
        "frame": _("%(name)s holds %(takes)s; the parts of one cycle take %(asked)s at their densest."),
        "platen": _("The frame needs %(asked)s, its walls on top; the platen of %(name)s has %(takes)s."),
        "force": _("A usual pressure asks for %(asked)s; %(name)s gives %(takes)s."),
        "shot": _("One shot is %(asked)s of melt; %(name)s injects %(takes)s at most."),
        "cavity": _("The parts of one cycle take %(asked)s at their densest; %(name)s takes %(takes)s."),
        "volume": _("One shot is %(asked)s of melt; the barrel of %(name)s holds %(takes)s."),
        "mould": _("The mould takes %(asked)s; %(name)s injects %(takes)s at most."),
    }  # fmt: skip
    return sentences[fit.code]


def mass_sentence(fit: Fit) -> str:
    """Return the sentence of a mass that is held against what is taken at once."""
    if not fit.fits:
        return _("%(name)s takes %(takes)s at once; one cycle needs %(asked)s.")
    if "above-all" in fit.notes:
        return _(
            "One shot takes %(use)s\u00a0%% of what %(name)s holds; up to 75\u00a0%% is usual."
        )
    if "below" in fit.notes:
        return _(
            "One shot takes %(use)s\u00a0%% of what %(name)s holds; 20\u00a0%% or more is usual."
        )
    return _("%(name)s takes %(takes)s at once; one cycle needs %(asked)s, %(use)s\u00a0%% of it.")


VERDICTS = {
    "no": gettext_lazy("It does not fit"),
    "may-not": gettext_lazy("It may not fit"),
    "doubt": gettext_lazy("It fits, with a doubt"),
    "fits": gettext_lazy("It fits"),
    "unknown": gettext_lazy("Does it fit?"),
}


def limit_said(fit: Fit) -> str:
    """Return what a figure is of, in words."""
    words = {
        "takes": _("what %(name)s takes at once"),
        "barrel": _("the barrel of %(name)s"),
        "frame": _("the volume of %(name)s"),
        "platen": _("the platen of %(name)s"),
        "force": _("the force of %(name)s"),
        "shot": _("the shot volume of %(name)s"),
        "mould": _("the shot volume of %(name)s"),
        "cavity": _("what %(name)s takes at a shot"),
        "volume": _("the barrel of %(name)s"),
    }
    said = words[fit.code] % {"name": fit.name}
    return _("%(said)s, used to %(use)s\u00a0%%") % {"said": said, "use": use_percent(fit)}


def expected_lines(planned: Planned) -> list[tuple[str, int]]:
    """Return what the charge is to become beside parts, in words and mg."""
    labels = dict(Yield.Kind.choices)
    expected = planned.charge.expected
    return [(str(labels[kind]), mg) for kind, mg in expected.items() if kind != Yield.Kind.PART]
