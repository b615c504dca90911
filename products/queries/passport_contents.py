"""What stands in a passport: a plain document of a part that no later change reaches.

No operator, source, customer or note is in it. `run.settings` is for the workshop alone; what
the public reads is named one by one in `calculations/passports.py`.
"""

from collections.abc import Sequence
from datetime import datetime
from fractions import Fraction

from django.conf import settings
from django.utils.timezone import localdate
from django.utils.translation import gettext as _

from inventory.calculations.traces import allocate
from inventory.models import Posting
from inventory.queries.traces import MOST_PASSES
from products.calculations.claims import (
    METHOD,
    claim_sentence,
    floor_permille,
    recycled_content,
)
from products.calculations.marks import mark_for_shares
from products.calculations.resin_codes import ResinCode
from products.calculations.sentences import kept
from products.calculations.uses import cautions_of
from products.models import Design, Part
from products.queries.assemblies import taking_apart_text
from products.queries.marks import Marking, marking_of
from products.queries.passports import PartMakeUp
from products.queries.sentences import said

MILLION = 1_000_000
TEXTS = ("care", "repair", "spare_parts")
TENTHS = 10


def figures_of(part: Part, make_up: PartMakeUp, holds: Sequence[dict] = ()) -> dict:
    """Return what a passport would say now of a part's mass and make-up, and of what it `holds`."""
    return {
        "mass_mg": part.lot.in_mg,
        "make_up": make_up_content(make_up),
        "passes": passes_content(make_up.by_passes),
        "custody": make_up.custody,
        "holds": list(holds),
    }


def make_up_content(make_up: PartMakeUp) -> dict:
    """Return shares by origin class, colour and polymer."""
    return {
        "origin": per_million(make_up.by_origin),
        "colour": [[*row, make_up.srgb[row[0]]] for row in per_million(make_up.by_colour)],
        "polymer": per_million(make_up.by_polymer),
    }


def shared_content(make_up: PartMakeUp, design: Design, position: Posting, at: datetime) -> dict:
    """Return what the passports of all parts of one make-up and design have in common."""
    marking = marking_of(mark_for_shares({k: float(v) for k, v in make_up.by_polymer.items()}))
    return {
        "name": design.name,
        "photo": design.photo.name if design.photo else "",
        "mark": mark_content(marking),
        "resin": code_content(marking.resin),
        "packaging": code_content(marking.packaging) if design.is_packaging else None,
        "recycling": recycling_words(marking, is_packaging=design.is_packaging),
        "make_up": make_up_content(make_up),
        "passes": passes_content(make_up.by_passes),
        "custody": make_up.custody,
        "claim": claim_content(make_up, position, at),
        "not_for": [*lines_of(design.not_for), *use_cautions(design), *fixed_cautions()],
        "returns": settings.WORKSHOP_RETURNS,
        **{name: getattr(design, name) for name in TEXTS},
        "taking_apart": taking_apart_text(design),
    }


def part_content(part: Part, run: dict, holds: Sequence[dict] = ()) -> dict:
    """Return what a passport says of the one part: how it was made, what it holds, in plain values."""
    is_bag = part.pieces > 1 or part.design.tracked == Design.Tracking.BAG
    return {
        "code": part.code,
        "is_bag": is_bag,
        "pieces": part.pieces,
        "mass_mg": part.lot.in_mg,
        "colour": {"name": part.lot.colour.name, "srgb": part.lot.colour.srgb},
        "made": {
            "by": settings.WORKSHOP_NAME,
            "place": settings.WORKSHOP_PLACE,
            "on": localdate(part.made_at).isoformat(),
        },
        "run": run,
        "holds": list(holds),
    }


def run_of(part: Part) -> dict:
    """Return how a part was made as far as the part itself tells."""
    made_by = part.design.made_by
    return {"run": part.run_number, "operation": made_by, "machine": "", "settings": ""}


def per_million(shares: dict[str, Fraction]) -> list[list]:
    """Return shares as whole millionths that sum to a million, in their order."""
    parts = allocate(MILLION, {name: float(share) for name, share in shares.items()})
    return [[name, parts[name]] for name in shares]


def mark_content(marking: Marking) -> dict:
    """Return a mark with what it says."""
    return {
        "text": marking.text,
        "words": list(marking.sentences),
        "notes": list(marking.warnings),
        "said": {
            "words": [kept(each) for each in marking.sentences],
            "notes": [kept(each) for each in marking.warnings],
        },
    }


def code_content(code: ResinCode | None) -> dict | None:
    """Return a resin code as plain values."""
    return {"number": code.number, "text": code.text} if code else None


def passes_content(passes: dict[int, float]) -> dict:
    """Return how often the material was melted here: the mean, rounded to tenths, and the most."""
    most = max(passes)
    mean = sum(count * share for count, share in passes.items())
    return {
        "mean_tenths": round(mean * TENTHS),
        "most": most,
        "or_more": most == MOST_PASSES,
    }


def claim_content(make_up: PartMakeUp, position: Posting, at: datetime) -> dict:
    """Return the claim with its figures, method, date and place in the ledger."""
    content, on = recycled_content(make_up.by_origin), localdate(at)
    sentence = claim_sentence(content, on=on, position=position.number)
    return {
        "sentence": sentence,
        "said": kept(sentence),
        "method": METHOD,
        "on": on.isoformat(),
        "post_consumer_permille": floor_permille(content.post_consumer),
        "pre_consumer_permille": floor_permille(content.pre_consumer),
        "has_unknown": bool(content.unknown),
        "ledger": {
            "posting": position.number,
            "uuid": position.uuid,
            "recorded_at": position.recorded_at,
        },
    }


def recycling_words(marking: Marking, *, is_packaging: bool) -> list[str]:
    """Return how to recycle it in neutral words: no promise that somebody collects it."""
    if not marking.text:
        return [
            _("What it is made of is not known well enough for a mark: bring it back to us."),
            _("Do not melt or burn it."),
        ]
    words = [
        _("It can come back to the workshop that made it."),
        _("Elsewhere, show the mark where plastics are collected; they sort by it."),
        _("Take off what is not of this plastic: screws, labels, textile."),
    ]
    if is_packaging:
        words.append(_("As packaging, empty it and sort it as the rules of your place say."))
    return words


def lines_of(text: str) -> list[str]:
    """Return the lines of a text that say something."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def use_cautions(design: Design) -> list[str]:
    """Return what is said of the uses a design is meant for: none is approved by its passport."""
    return [said(caution) for caution in cautions_of(design.uses)]


def fixed_cautions() -> list[str]:
    """Return what no part of the workshop is suitable for, whatever its design says."""
    return [
        _(
            "Contact with food or drink, toys, mains electricity, or anything that needs a load rating: "
            "no such use is approved, and only a licensed practice could approve it."
        )
    ]
