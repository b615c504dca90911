"""What a scan means where it happens: what it names, where it leads, or why it cannot be used there."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Model
from django.http import QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.calculations.codes import LENGTH, group_code, normalise_code
from inventory.models import Bin, Delivery, Lot, Posting
from inventory.queries.lots import lot_label, open_lot_in
from products.models import Part
from products.queries.fixings import fixing_of
from products.queries.labels import label_called
from workshop.calculations.operations import RULES, form_of_yield
from workshop.calculations.scans import foreign_kind, host_of
from workshop.models import CODED, Piece, Run
from workshop.queries.codes import scanned_text, thing_called
from workshop.queries.runs import balances, current_charge, stage_of

KINDS = {
    Bin: ("bin", gettext_lazy("a bin")),
    Lot: ("lot", gettext_lazy("a lot")),
    Delivery: ("delivery", gettext_lazy("a delivery")),
    Part: ("part", gettext_lazy("a part")),
    Run: ("run", gettext_lazy("a run")),
    Piece: ("piece", gettext_lazy("a piece of a visit")),
    Posting: ("posting", gettext_lazy("a posting")),
}
WORDS = dict(KINDS.values())
FOREIGN = {
    "address": gettext_lazy("This code leads to %(host)s, not into this workshop."),
    "wi-fi": gettext_lazy(
        "This code signs a telephone in to a Wi-Fi; it is none of the workshop's."
    ),
    "contact": gettext_lazy("This code is somebody's contact; it is none of the workshop's."),
    "payment": gettext_lazy("This code asks for a payment; it is none of the workshop's."),
    "article": gettext_lazy(
        "This is the bar code of a shop's article; scan the workshop's own label."
    ),
}
LOADING = ("setup", "load")
TO_LOAD = (Bin, Lot, Delivery, Part)
SPOT_NAMES = ("run", "stage", "kind", "round", "task")


@dataclass(frozen=True)
class Spot:
    """Where a scan happens: on which run's page in which stage, weighing out which kind, or counting."""

    run: Run | None = None
    stage: str = ""
    kind: str = ""
    round: str = ""
    task: str = ""


@dataclass(frozen=True)
class Place:
    """Where a scan leads; `why_not` is the sentence when what was scanned cannot be used there."""

    url: str
    why_not: str = ""


@dataclass(frozen=True)
class ScanAnswer:
    """What a scan means; `kind` is empty when nothing here answers to it."""

    text: str
    sentence: str
    kind: str = ""
    name: str = ""
    code: str = ""
    url: str = ""
    fits: bool = False


def spot_of(asked: Mapping[str, str]) -> Spot:
    """Return where a page says that it is; what it names wrongly counts for nothing."""
    words = {name: asked.get(name, "") for name in SPOT_NAMES}
    named = scanned_text(words.pop("run"))
    run = thing_called(named) if named else None
    return Spot(run=run if isinstance(run, Run) else None, **words)


def answer_to(text: str, spot: Spot, may: Callable[[str], bool]) -> ScanAnswer:
    """Return what a scan means at a spot for somebody who may do the acts that `may` says."""
    text = scanned_text(text)
    label = label_called(text)
    if label and label.voided_at:
        sentence = _("The label %(code)s is void; take it off and scan the one that counts.")
        facts = {"code": group_code(label.code)}
        return ScanAnswer(text, sentence % facts, url=reverse("scan-code", args=[label.code]))
    return meaning_of(text, spot, may)


def meaning_of(text: str, spot: Spot, may: Callable[[str], bool]) -> ScanAnswer:
    """Return what a plain text means, void labels apart."""
    thing = thing_called(text) if text else None
    if thing is None:
        return ScanAnswer(text, unknown_sentence(text))
    place = place_of(thing, spot, may)
    kind, word = KINDS[type(thing)]
    sentence = place.why_not or plain_sentence(thing, word)
    return ScanAnswer(
        text, sentence, kind, name_of(thing), code_of(thing), place.url, not place.why_not
    )


def plain_sentence(thing: Model, word: str) -> str:
    """Return what a thing is, and of a part in a product in which."""
    facts = {"name": name_of(thing), "kind": word}
    if isinstance(thing, Part) and (fixing := fixing_of(thing)):
        sentence = _("%(name)s is %(kind)s, and it is in %(holder)s.")
        return sentence % (facts | {"holder": name_of(fixing.holder)})
    return _("%(name)s is %(kind)s.") % facts


def name_of(thing: Model) -> str:
    """Return what people call a thing that was scanned."""
    if isinstance(thing, Part):
        return f"{thing.design.name} {group_code(thing.code)}"
    return lot_label(thing) if isinstance(thing, Lot) else str(getattr(thing, "number", thing))


def code_of(thing: Model) -> str:
    """Return a text that leads to the same thing again, whatever it is called by then."""
    return thing.number if isinstance(thing, Delivery | Run | Posting) else thing.code


def unknown_sentence(text: str) -> str:
    """Return the sentence for a text that nothing here answers to: what it is instead, if one can tell."""
    if not text:
        return _("Nothing was scanned.")
    facts = {"text": text[:40], "length": LENGTH}
    if code := normalise_code(text):
        sentence = _("%(code)s is written as a code of ours, but nothing in this book has it.")
        return sentence % {"code": group_code(code)}
    plain = _("Nothing answers to “%(text)s”; a code has %(length)s characters.")
    return foreign_sentence(text) or plain % facts


def foreign_sentence(text: str) -> str:
    """Return what a code of somebody else's is, in a sentence; empty when it may be one mistyped."""
    sentence = FOREIGN.get(foreign_kind(text))
    return sentence % {"host": host_of(text) or _("another place")} if sentence else ""


def place_of(thing: Model, spot: Spot, may: Callable[[str], bool]) -> Place:
    """Return where a scanned thing leads.

    On the page of an open run a bin, lot, delivery or part is loaded while the run is loading;
    later a bin takes what is weighed out. On the pages of counts a bin is counted. All else opens.
    """
    if isinstance(thing, TO_LOAD) and spot.run and not spot.run.closed_at and may("run.load"):
        stage = spot.stage or stage_of(spot.run, balances(spot.run))
        work = loaded_from if stage in LOADING else weighed_into
        return work(thing, spot)
    if (spot.round or spot.task == "count") and isinstance(thing, TO_LOAD) and may("bin.count"):
        return counted(thing, spot)
    return Place(thing.get_absolute_url())


def loaded_from(thing: Model, spot: Spot) -> Place:
    """Return the page that loads a run from a thing, or why it cannot be loaded."""
    rule = RULES[spot.run.operation]
    facts = {"name": name_of(thing), "run": spot.run.number}
    why_not = ""
    if isinstance(thing, Part) and not rule.takes_parts:
        why_not = _("%(name)s is a part; %(run)s is loaded from bins.")
    elif not isinstance(thing, Part) and not rule.takes_bins:
        why_not = _("%(name)s is no part; %(run)s works parts only.")
    elif isinstance(thing, Bin) and open_lot_in(thing) is None:
        why_not = _("%(name)s is empty; load %(run)s from another bin.")
    if why_not:
        return Place(thing.get_absolute_url(), why_not % facts)
    return Place(address("workshop:run-load", spot.run.code, {"from": code_of(thing)}))


def weighed_into(thing: Model, spot: Spot) -> Place:
    """Return the page that weighs something out of a run into a bin, or why the thing takes nothing."""
    facts = {"name": name_of(thing), "run": spot.run.number, "kind": KINDS[type(thing)][1]}
    if not isinstance(thing, Bin):
        sentence = _("%(name)s is %(kind)s; what comes out of %(run)s goes into a bin.")
        return Place(thing.get_absolute_url(), sentence % facts)
    if thing.retired_at:
        sentence = _("%(name)s is retired and takes nothing; scan another bin.")
        return Place(thing.get_absolute_url(), sentence % facts)
    asked = {"kind": kind_into(spot.run, spot.kind, thing), "bin": thing.code}
    return Place(address("workshop:run-yield", spot.run.code, asked))


def kind_into(run: Run, wanted: str, bin: Bin) -> str:
    """Return the kind of yield that goes into a bin: the one at hand, else what the bin holds.

    An empty bin takes material, or offcuts where the run makes none. Parts go into no bin.
    """
    kinds = [kind for kind in RULES[run.operation].yields if kind not in CODED]
    if wanted in kinds:
        return wanted
    usual = [kind for kind in ("material", "offcut", "dust", "purging") if kind in kinds]
    fill, charge = open_lot_in(bin), current_charge(run)
    if fill and charge:
        forms = {kind: form_of_yield(run.operation, kind, charge.lot.form) for kind in kinds}
        same = [kind for kind in [*usual, *kinds] if forms[kind] == fill.form]
        usual = same or usual
    return (usual or kinds)[0]


def counted(thing: Model, spot: Spot) -> Place:
    """Return the page that counts a bin, on its round if there is one, or why a thing is not counted."""
    if not isinstance(thing, Bin):
        facts = {"name": name_of(thing), "kind": KINDS[type(thing)][1]}
        sentence = _("%(name)s is %(kind)s; a count is of bins.")
        return Place(thing.get_absolute_url(), sentence % facts)
    if spot.round.isascii() and spot.round.isdecimal():
        return Place(address("inventory:round-detail", spot.round, {"bin": thing.code}))
    return Place(reverse("inventory:bin-count", args=[thing.code]))


def address(name: str, key: str, asked: Mapping[str, str]) -> str:
    """Return the address of a page with what is asked of it."""
    query = QueryDict(mutable=True)
    for each, value in asked.items():
        query[each] = value
    return f"{reverse(name, args=[key])}?{query.urlencode()}"


def answers_to(texts: Sequence[str], spot: Spot, may: Callable[[str], bool]) -> list[ScanAnswer]:
    """Return what several codes mean, ours first and each thing once."""
    found = [answer_to(text, spot, may) for text in texts]
    known = {each.code: each for each in found if each.kind}
    return [*known.values(), *(each for each in found if not each.kind)]


def scan_address(code: str, asked: Mapping[str, str]) -> str:
    """Return the address that looks a code up at the same spot."""
    query = QueryDict(mutable=True)
    for name, value in [("code", code), *((name, asked.get(name, "")) for name in SPOT_NAMES)]:
        if value:
            query[name] = value
    return f"{reverse('scan')}?{query.urlencode()}"
