"""What the public page of a part prints, put together from the stored document."""

from dataclasses import replace
from datetime import date
from itertools import zip_longest

from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inventory.models import OriginClass
from inventory.queries.custody import MEANINGS, WORDS
from inventory.queries.traces import Segment
from inventory.templatetags.quantities import long_day, public_mass
from products.calculations.claims import POST_CONSUMER, PRE_CONSUMER
from products.calculations.triangles import triangle_svg
from products.models import Operation, Part, Passport
from products.queries.passports import LabelState
from products.queries.sentences import said_again

TRIANGLE_MM = 30
LETTER_WIDTH = 12  # of the drawing of a mark, whose letters are all as wide
MILLION = 1_000_000
RECYCLED = (POST_CONSUMER, PRE_CONSUMER)
SECTIONS = {
    "care": gettext_lazy("Care"),
    "repair": gettext_lazy("Repair"),
    "spare_parts": gettext_lazy("Spare parts"),
    "taking_apart": gettext_lazy("Taking it apart"),
}


def public_page(
    passport: Passport, newest: Passport, state: LabelState, holder: Part | None = None
) -> dict:
    """Return what the page of a version prints; nothing but what is named here is public.

    `holder` is what the part is in now, as the book knows it and no snapshot does.
    """
    content = passport.content
    strips = content["make_up"]
    return {
        "name": content["name"],
        "code": state.code,
        "address": reverse("scan-code", args=[state.code]),
        "version": passport.version,
        "issued_on": long_day(passport.issued_at),
        "newest": newest.version if newest.version != passport.version else None,
        "subtitle": subtitle(content),
        "mark": spoken_mark(content["mark"]),
        "mark_width": LETTER_WIDTH * len(content["mark"]["text"]),
        "sign": sign_of(content),
        "packaging": content["packaging"],
        "recycling": content["recycling"],
        "returns": content["returns"],
        "by_origin": origin_segments(content),
        "by_colour": segments(strips["colour"], content["mass_mg"], str),
        "claim": said_again(content["claim"]["sentence"], content["claim"].get("said")),
        "passes": passes_words(content["passes"]),
        "custody": custody_words(content.get("custody")),
        "colour": content["colour"],
        "facts": facts_of(passport, state),
        "holds": holds_of(content),
        "holder": holder_of(holder),
        "sections": [(title, content[key]) for key, title in SECTIONS.items() if content[key]],
        "not_for": content["not_for"],
        "photo": has_photo(passport),
    }


def holds_of(content: dict) -> list[dict]:
    """Return the parts that a version says are in it, each with the address of its own passport."""
    return [
        each | {"address": reverse("scan-code", args=[each["code"]])}
        for each in content.get("holds", [])
    ]


def holder_of(holder: Part | None) -> dict | None:
    """Return what is said of the product that a part is in."""
    if holder is None:
        return None
    return {
        "name": holder.design.name,
        "code": holder.code,
        "address": reverse("scan-code", args=[holder.code]),
    }


def spoken_mark(mark: dict) -> dict:
    """Return a mark with its lines in the reader's language; older versions keep them in one only."""
    known = mark.get("said", {})
    return {"text": mark["text"]} | {
        name: [said_again(*each) for each in zip_longest(mark[name], known.get(name, []))]
        for name in ("words", "notes")
    }


def has_photo(passport: Passport) -> bool:
    """Return whether the photo of a passport is kept."""
    name = passport.content["photo"]
    return bool(name) and default_storage.exists(name)


def bare_page(part: Part, state: LabelState, holder: Part | None = None) -> dict:
    """Return what is said of a part without a passport: what it is, its mark, and in what it is."""
    text = part.lot.mark
    return {"name": part.design.name, "code": state.code, "mark": {"text": text}} | {
        "mark_width": LETTER_WIDTH * len(text),
        "holder": holder_of(holder),
    }


def subtitle(content: dict) -> str:
    """Return whether it is one piece or a bag of several."""
    if not content["is_bag"]:
        return _("One piece")
    pieces = content["pieces"]
    return ngettext("A bag of %(count)d piece", "A bag of %(count)d pieces", pieces) % {
        "count": pieces
    }


def sign_of(content: dict) -> SafeString:
    """Return the triangle as SVG: the packaging code where it is packaging, else the resin code."""
    for code in (content["packaging"], content["resin"]):
        try:
            return SafeString(triangle_svg(code["number"], code["text"], TRIANGLE_MM))
        except (TypeError, ValueError):  # no code, or one that is drawn in no triangle
            continue
    return SafeString("")


def origin_label(origin_class: str) -> str:
    """Return an origin class in words."""
    return str(OriginClass(origin_class).label)


def origin_segments(content: dict) -> list[Segment]:
    """Return the shares by origin class; recycled ones as the claim has them, rounded down to tenths."""
    rows = content["make_up"]["origin"]
    found = segments(rows, content["mass_mg"], origin_label)
    claimed = {each: content["claim"][f"{each.replace('-', '_')}_permille"] for each in RECYCLED}
    return [
        replace(each, share=claimed[name] / 1000 if claimed.get(name) else each.share)
        for each, (name, *_rest) in zip(found, rows, strict=True)
    ]


def segments(rows: list[list], mass_mg: int, name_of) -> list[Segment]:
    """Return stored shares as segments of a make-up strip."""
    return [
        Segment(name_of(name), share / MILLION, round(mass_mg * share / MILLION), *srgb)
        for name, share, *srgb in rows
    ]


def passes_words(passes: dict) -> str:
    """Return how often the material was melted here, on average and at most."""
    most = passes["most"]
    if not most:
        return _("Not melted in this workshop.")
    if passes["mean_tenths"] == 10 * most and not passes["or_more"]:
        said = ngettext(
            "Melted once in this workshop.", "Melted %(count)d times in this workshop.", most
        )
        return said % {"count": most}
    words = {"mean": f"{passes['mean_tenths'] / 10:g}", "most": most}
    if passes["or_more"]:
        return (
            _(
                "Melted in this workshop %(mean)s times on average, some of it %(most)s times or more."
            )
            % words
        )
    return _("Melted in this workshop %(mean)s times on average, at most %(most)s times.") % words


def custody_words(word: str | None) -> str:
    """Return how the material was kept, with what that means; nothing where there is no word for it.

    Passports from before the word was kept have none.
    """
    if not word:
        return ""
    words = {"word": WORDS[word], "meaning": MEANINGS[word]}
    return _("Chain of custody (ISO 22095): %(word)s. %(meaning)s") % words


def facts_of(passport: Passport, state: LabelState) -> list[tuple]:
    """Return the facts of a passport as pairs of a word and a value."""
    content = passport.content
    made, run = content["made"], content["run"]
    where = ", ".join(filter(None, (made["by"], made["place"])))
    return [
        (_("Mass"), public_mass(content["mass_mg"])),
        (_("Colour"), content["colour"]["name"]),
        (_("Made"), long_day(date.fromisoformat(made["on"]))),
        (_("Made by"), where),
        (_("Process"), process_words(run)),
        (_("Label"), state.sentence),
    ]


def process_words(run: dict) -> str:
    """Return what was done, on which kind of machine, in which run."""
    operation = str(Operation(run["operation"]).label)
    machine = run["machine"] if run["machine"] != operation else ""
    in_run = _("run %(number)s") % {"number": run["run"]}
    return ", ".join(filter(None, (operation, machine, in_run)))
