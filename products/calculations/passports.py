"""A passport as linked data: the same content as its page, in the terms of schema.org.

What is public is named here one by one, so that nothing else of the stored document leaks. Terms
(Product, Organization, QuantitativeValue, PropertyValue) are those that schema.org documents;
unit codes are UN/CEFACT's: GRM gram, P1 per cent.
"""

from collections.abc import Iterator, Mapping

CONTEXT = "https://schema.org"
GRAM, PERCENT = "GRM", "P1"
MG_PER_G = 1000
MILLIONTHS_PER_CENT = 10_000
ROUNDING_MILLIONTHS = 3
TEXTS = {
    "Care": "care",
    "Repair": "repair",
    "Spare parts": "spare_parts",
    "Taking apart": "taking_apart",
    "How to return it": "returns",
}
LISTS = {"How to recycle it": "recycling", "Not suitable for": "not_for"}
CODES = {"Resin code, ASTM D7611": "resin", "Packaging code, 97/129/EC": "packaging"}


def changed_figures(issued: Mapping, now: Mapping) -> tuple[str, ...]:
    """Return the names of the figures that an issued passport states otherwise than they are now.

    Of `mass`, `passes`, `origin`, `colour`, `polymer`, `custody`, which older passports do not
    state, and `holds`, of which they state nothing. What a held design is called is no figure, as
    little as what the part's own is. Shares are in millionths, and a few of
    them are no change: sweeps in whole fractions and in floats may round apart.

    >>> issued = {"mass_mg": 5, "passes": {"mean_tenths": 10, "most": 1}, "make_up": {
    ...     "origin": [["virgin", 600_000], ["unknown", 400_000]], "colour": [], "polymer": []}}
    >>> now = issued | {"make_up": issued["make_up"] | {"origin": [["virgin", 1_000_000]]}}
    >>> changed_figures(issued, now)
    ('origin',)
    """
    changed = ["mass"] if issued["mass_mg"] != now["mass_mg"] else []
    before, after = issued["passes"], now["passes"]
    apart = abs(before["mean_tenths"] - after["mean_tenths"])
    if before["most"] != after["most"] or apart > 1:
        changed.append("passes")
    for axis in ("origin", "colour", "polymer"):
        if _apart(issued["make_up"][axis], now["make_up"][axis]) > ROUNDING_MILLIONTHS:
            changed.append(axis)
    if "custody" in issued and issued["custody"] != now["custody"]:
        changed.append("custody")
    if _held(issued) != _held(now):
        changed.append("holds")
    return tuple(changed)


def _held(content: Mapping) -> list[dict]:
    rows = content.get("holds", [])
    return [{key: value for key, value in row.items() if key != "name"} for row in rows]


def _apart(before: list[list], after: list[list]) -> int:
    shares = [{row[0]: row[1] for row in rows} for rows in (before, after)]
    names = shares[0].keys() | shares[1].keys()
    return max((abs(shares[0].get(n, 0) - shares[1].get(n, 0)) for n in names), default=0)


def linked_data(content: Mapping, *, address: str, image: str, live: Mapping[str, str]) -> dict:
    """Return a passport's content as a JSON-LD document.

    `address` is where the passport is found, `image` where its photo is or empty, `live` what is
    true now and stands in no snapshot, by name. Masses are in grams, shares in per cent.
    """
    made = content["made"]
    document = {
        "@context": CONTEXT,
        "@type": "Product",
        "@id": address,
        "url": address,
        "productID": content["code"],
        "name": content["name"],
        "material": _materials(content),
        "color": content["colour"]["name"],
        "weight": _quantity(content["mass_mg"] / MG_PER_G, GRAM),
        "productionDate": made["on"],
        "manufacturer": _organization(made),
        "additionalProperty": [
            *_facts(content),
            *_shares(content["make_up"]),
            *_texts(content),
            *(_property(name, value) for name, value in live.items()),
        ],
    }
    return document | ({"image": image} if image else {})


def _materials(content: Mapping) -> list[str]:
    polymers = [symbol or "unknown" for symbol, _share in content["make_up"]["polymer"]]
    mark = content["mark"]["text"]
    return [mark, *polymers] if mark else polymers


def _organization(made: Mapping) -> dict:
    maker = {"@type": "Organization", "name": made["by"]}
    return maker | ({"location": made["place"]} if made["place"] else {})


def _quantity(value: float, unit: str) -> dict:
    return {"@type": "QuantitativeValue", "value": value, "unitCode": unit}


def _property(name: str, value, unit: str = "") -> dict:
    stated = {"@type": "PropertyValue", "name": name, "value": value}
    return stated | ({"unitCode": unit} if unit else {})


def _facts(content: Mapping) -> Iterator[dict]:
    claim, run, passes = content["claim"], content["run"], content["passes"]
    yield _property("Version of the passport", content["version"])
    yield _property("Pieces", content["pieces"])
    yield _property("Mark, ISO 11469", content["mark"]["text"] or "none")
    for name, key in CODES.items():
        if code := content[key]:
            yield _property(name, f"{code['number']} {code['text']}")
    yield _property("Claim", claim["sentence"])
    for kind in ("post_consumer", "pre_consumer"):
        name = f"Recycled content, {kind.replace('_', '-')}, rounded down"
        yield _property(name, claim[f"{kind}_permille"] / 10, PERCENT)
    yield _property("Claim, date", claim["on"])
    yield _property("Claim, method", claim["method"])
    yield _property("Claim, place in the ledger", claim["ledger"]["posting"])
    yield _property("Melt passes, mean", passes["mean_tenths"] / 10)
    yield _property("Melt passes, most", passes["most"])
    if custody := content.get("custody"):
        yield _property("Chain of custody, ISO 22095", custody.replace("-", " "))
    for each in content.get("holds", []):
        words = (f"{each['pieces']} x {each['name']}", each["mark"], each["code"])
        yield _property("Holds", ", ".join(filter(None, words)))
    yield _property("Run", run["run"])
    yield _property("Made by", run["operation"])
    if run["machine"]:
        yield _property("Kind of machine", run["machine"])


def _shares(make_up: Mapping) -> Iterator[dict]:
    for axis in ("origin", "colour", "polymer"):
        for name, millionths, *_srgb in make_up[axis]:
            said = f"Share by {axis}: {name or 'unknown'}"
            yield _property(said, millionths / MILLIONTHS_PER_CENT, PERCENT)


def _texts(content: Mapping) -> Iterator[dict]:
    for name, key in TEXTS.items():
        if content[key]:
            yield _property(name, content[key])
    for name, key in LISTS.items():
        yield from (_property(name, line) for line in content[key])
