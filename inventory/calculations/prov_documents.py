"""A part of the book as a document of the W3C's PROV: lots are entities, runs and postings activities.

A lot is the entity that it is once filled, so it is generated once, by what filled it last, and
used only afterwards, as the rules of the ledger have it. Each transfer from a lot to a lot is a
derivation that carries its mass. Agents are the workshop and the roles of people, no person.
What was reversed is left out: it is no history of the material.

Source: W3C Recommendations PROV-DM, PROV-N and PROV-CONSTRAINTS, 30 April 2013; PROV-JSON is
the W3C Member Submission of 24 April 2013.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from prov.identifier import QualifiedName
from prov.model import PROV, ProvDocument

from inventory.calculations.epcis_events import Flow, Stuff, Told
from inventory.calculations.epcis_terms import PREFIX, namespace

WORKSHOP = "workshop"
DISPOSED = "disposed"
JSON_TYPE, NOTATION_TYPE = "application/provenance+json", "text/provenance-notation"


@dataclass
class Activity:
    """What is told as one activity: a run with all its postings, or one posting."""

    name: QualifiedName
    roles: set[str] = field(default_factory=set)
    starts: datetime | None = None
    ends: datetime | None = None

    def spans(self, moment: datetime) -> None:
        """Let it begin and end so that a moment is in it."""
        self.starts = min(self.starts or moment, moment)
        self.ends = max(self.ends or moment, moment)


class _Names:
    """The namespaces of a document, all under the workshop's base."""

    def __init__(self, document: ProvDocument, base: str):
        self.own = document.add_namespace(PREFIX, namespace(base))
        self.lots = document.add_namespace("lot", f"{base}/class/")
        self.things = document.add_namespace("part", f"{base}/obj/")
        self.papers = document.add_namespace("run", f"{base}/bt/")
        self.postings = document.add_namespace("posting", "urn:uuid:")
        self.parties = document.add_namespace("party", f"{base}/party/")

    def lot(self, stuff: Stuff) -> QualifiedName:
        return (self.things if stuff.is_thing else self.lots)[stuff.code]

    def activity(self, told: Told) -> QualifiedName:
        return self.papers[told.run] if told.run else self.postings[str(told.uuid)]

    def role(self, role: str) -> QualifiedName:
        return self.parties[f"role-{role}"]

    def facts(self, **facts) -> dict:
        return {self.own[name]: value for name, value in facts.items() if value not in ("", None)}


def prov_document(postings: Iterable[Told], base: str) -> ProvDocument:
    """Return the document of some postings, in the order of the book."""
    document = ProvDocument()
    names = _Names(document, base)
    steps = [told for told in postings if told.undone_at is None]
    _lots(document, names, steps)
    _activities(document, names, steps)
    _generations(document, names, steps)
    for told in steps:
        for flow in told.flows:
            _flow(document, names, told, flow)
    _endings(document, names, steps)
    return document


def _lots(document: ProvDocument, names: _Names, steps: list[Told]) -> None:
    """Tell each lot once, with what it is made of."""
    ends = (end for told in steps for flow in told.flows for end in (flow.source, flow.target))
    for stuff in {end.code: end for end in ends if end}.values():
        facts = names.facts(
            polymer=stuff.polymer,
            mark=stuff.mark,
            colour=stuff.colour,
            form=stuff.form,
            originClass=stuff.origin_class,
        )
        kind = names.own["Part" if stuff.is_thing else "Lot"]
        document.entity(names.lot(stuff), {PROV["type"]: kind, **facts})


def _activities(document: ProvDocument, names: _Names, steps: list[Told]) -> None:
    """Tell what was done, and in which roles; each role acts for the workshop."""
    found = {}
    for told in steps:
        name = names.activity(told)
        activity = found.setdefault(name, Activity(name))
        activity.spans(told.happened_at)
        activity.roles |= {told.role} - {""}
    if not found:
        return
    shop = document.agent(names.parties[WORKSHOP], {PROV["type"]: PROV["Organization"]})
    roles = sorted({role for activity in found.values() for role in activity.roles})
    for role in roles:
        kind = {PROV["type"]: PROV["Person"], PROV["label"]: role}
        document.agent(names.role(role), kind)
        document.actedOnBehalfOf(names.role(role), shop)
    for activity in found.values():
        document.activity(activity.name, activity.starts, activity.ends)
        document.wasAssociatedWith(activity.name, shop)
        for role in sorted(activity.roles):
            document.wasAssociatedWith(activity.name, names.role(role))


def _generations(document: ProvDocument, names: _Names, steps: list[Told]) -> None:
    """Tell by what, and when, each lot was filled last."""
    for told, stuff in last_filled(steps).values():
        document.wasGeneratedBy(names.lot(stuff), names.activity(told), told.happened_at)


def last_filled(steps: Iterable[Told]) -> dict[str, tuple[Told, Stuff]]:
    """Return the posting that filled each lot last, by the code of the lot."""
    rows = ((told, flow.target) for told in steps for flow in told.flows if flow.target)
    return {stuff.code: (told, stuff) for told, stuff in rows}


def _flow(document: ProvDocument, names: _Names, told: Told, flow: Flow) -> None:
    """Tell that a lot was used, and what came of it, with the mass in mg."""
    if flow.source is None:
        return
    facts = names.facts(milligrams=flow.mass_mg, role=flow.role, melted=flow.melted or None)
    source = names.lot(flow.source)
    document.used(names.activity(told), source, told.happened_at, other_attributes=facts)
    if flow.target:
        document.wasDerivedFrom(names.lot(flow.target), source, other_attributes=facts)


def _endings(document: ProvDocument, names: _Names, steps: list[Told]) -> None:
    """Tell of each lot that was disposed of whole that it is no more."""
    left = defaultdict(int)
    last = {}
    for told in steps:
        for flow in told.flows:
            if flow.target:
                left[flow.target.code] += flow.mass_mg
            if flow.source:
                left[flow.source.code] -= flow.mass_mg
                last[flow.source.code] = (told, flow)
    for code, (told, flow) in last.items():
        if left[code] == 0 and flow.target is None and flow.role == DISPOSED:
            lot, activity = names.lot(flow.source), names.activity(told)
            document.wasInvalidatedBy(lot, activity, told.happened_at)
