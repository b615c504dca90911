"""Documents in EPCIS 2.0, as others would send them and as this workshop writes them."""

import json
from copy import deepcopy
from uuid import UUID

from inventory.queries.exports import BACK, Scope, epcis_chunks

BASE = "https://trace.example.org"
OTHER = "https://other.example"
CONTEXT = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"


def event_id(number: int) -> str:
    """Return the id of the event of a number."""
    return f"urn:uuid:{UUID(int=number)}"


def lot(name: str, kg: float) -> dict:
    """Return some of a lot, as a quantity element."""
    return {"epcClass": f"{OTHER}/class/{name}", "quantity": kg, "uom": "KGM"}


def event(number: int, kind: str, **more) -> dict:
    """Return an event with what every event has."""
    common = {"type": f"{kind}Event", "eventID": event_id(number)}
    when = {"eventTime": f"2026-03-0{number % 9 + 1}T09:00:00Z", "eventTimeZoneOffset": "+01:00"}
    return common | when | more


def came(number: int, name: str, kg: float, **ilmd) -> dict:
    """Return the first sight of a lot, with our own terms of its origin."""
    facts = {f"ws:{key}": value for key, value in ilmd.items()}
    step = {"action": "ADD", "bizStep": "commissioning", "quantityList": [lot(name, kg)]}
    return event(number, "Object", **step, ilmd=facts)


def changed(number: int, given: dict, taken: dict, **more) -> dict:
    """Return a change of some lots into others; masses in kg by name."""
    lists = {
        "inputQuantityList": [lot(*each) for each in given.items()],
        "outputQuantityList": [lot(*each) for each in taken.items()],
    }
    return event(number, "Transformation", bizStep="commissioning", **lists, **more)


def document(*events: dict, **more) -> dict:
    """Return a document of some events, with the terms of another workshop such as this."""
    return {
        "@context": [CONTEXT, {"ws": f"{OTHER}/ns/plastic-1/"}],
        "type": "EPCISDocument",
        "schemaVersion": "2.0",
        "creationDate": "2026-03-10T12:00:00Z",
        "epcisBody": {"eventList": [deepcopy(each) for each in events]},
        **more,
    }


def blend() -> dict:
    """Return a document of 6 kg of one delivery and 2 kg of another, which became 8 kg of flake."""
    return document(
        came(1, "D1", 6, originClass="post-consumer", polymer="PP", colour="blue", source="Coast"),
        came(2, "D2", 4, originClass="virgin", polymer="PP", colour="white", source="Pellets"),
        changed(3, {"D1": 6, "D2": 2}, {"F1": 8}, ilmd={"ws:polymer": "PP", "ws:colour": "blue"}),
    )


def exported(scope: Scope, base: str = BASE) -> dict:
    """Return the document of a scope, parsed."""
    return json.loads("".join(epcis_chunks(scope, base)))


def behind(lot, base: str = BASE) -> dict:
    """Return the document of all that is behind a lot."""
    return exported(Scope(lot.code, (lot,), BACK), base)
