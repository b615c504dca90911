"""Check an audit ZIP without the program that made it; standard library only, Python 3.10 or newer.

    python3 -I verify_audit.py A-0001.zip [SIZE:ROOT, as on the paper or in a copy kept elsewhere]

Each entry is hashed again (SHA-256 of canonical JSON, RFC 8785) and led by its path to the root (RFC
9162, 2.1.3.2); the tables must say what the entries say, by row and in sum, and origins, or where it
went, follow from them. No ZIP shows what its maker left out: compare the fingerprint on the paper.
"""

import csv
import io
import json
import sys
import zipfile
from collections import Counter, defaultdict
from graphlib import TopologicalSorter
from hashlib import sha256
from itertools import zip_longest

NAME, HEAD = ("name", "kind", "leaf"), ("happened_at", "recorded_at", "by", "reason")
LINE = ["source", "target", "mass_mg", "role", "melted", "basis", "scale", "uncertainty_ug"]
KEYS = {"entries.csv": ["name"], "transfers.csv": ["entry", "transfer"], "origins.csv": ["lot"]}


def canonical(value):
    """Return the bytes of RFC 8785 for what occurs; what is written otherwise has another hash."""
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()


def is_included(leaf, number, size, path, root):
    """Return whether the path leads from the leaf to the root."""
    first, last = number, size - 1
    for sibling in map(bytes.fromhex, path):
        if last <= 0:
            return False
        is_left = first % 2 == 1 or first == last
        leaf = sha256(b"\x01" + (sibling + leaf if is_left else leaf + sibling)).digest()
        while is_left and first % 2 == 0 < first:
            first, last = first >> 1, last >> 1
        first, last = first >> 1, last >> 1
    return 0 <= number < size and last == 0 and leaf.hex() == root


def differences(name, wanted, rows, keys):
    """Yield how the rows of a table differ from what they should be, each by its key."""
    pairs = [pair for pair in zip_longest(wanted, rows) if pair[0] != pair[1]]
    first, found = {" ".join(map(row.get, keys)): row for row, _ in pairs if row}, {}
    for row in (row for _, row in pairs if row):
        key = " ".join(str(row.get(key)) for key in keys)
        if key in found or key not in first:
            yield f"{name}: row {key} was added"
            continue
        found[key] = row
        for column, right in {**dict.fromkeys(row), **first[key]}.items():
            if row.get(column) != right:
                yield f"{name}: row {key}: {column} is {row.get(column)!r}, not {right!r}"
    yield from (f"{name}: row {key} is missing" for key in first if key not in found)
    pairs = zip([key for key in first if key in found], found, strict=True)
    yield from (f"{name}: row {key} is not in its place" for key, other in pairs if key != other)


def text(value):
    found = value if isinstance(value, str) else "" if value is None else json.dumps(value)
    return "'" + found if isinstance(value, str) and found[:1] in {*"=+-@\t\r\n"} else found


def tables_of(audit, entries):
    """Return the rows that the tables must have."""
    heads = ({key: text((one["content"] | one)[key]) for key in NAME + HEAD} for one in entries())
    lines = (
        dict(zip(KEYS["transfers.csv"] + LINE, map(text, [one["name"], place, *line]), strict=True))
        for one in entries()
        for place, line in enumerate(one["content"].get("transfers", ()), 1)
    )
    origins = ({key: text(value) for key, value in row.items()} for row in audit["origins"])
    return {"entries.csv": heads, "transfers.csv": lines, "origins.csv": origins}


def standing(entries):
    """Yield source, target, mass in mg and role of each transfer by a posting that was not undone."""
    undone = {each["content"].get("reverses") for each in entries()}
    for content in (each["content"] for each in entries()):
        if not content.get("reverses") and content["uuid"] not in undone:
            yield from (line[:4] for line in content.get("transfers", ()))


def wrong_answers(audit, entries):
    """Yield origins, or places, that do not follow from the transfers, by one sweep from the roots."""
    is_back, roots = audit["follows"] == "back", audit["roots"]
    took, steps, before = Counter(), defaultdict(list), defaultdict(list)
    for source, target, mass_mg, role in standing(entries):
        way = (target, source or f"origin {target}") if is_back else (source, target or role)
        took[target] += mass_mg
        steps[way[0]].append((way[1], mass_mg))
        before[way[1]].append(way[0])
    found = defaultdict(float, roots)
    for lot in TopologicalSorter(before).static_order():
        found[lot] = amount = found[lot] if is_back or lot not in roots else took[lot]
        for place, mass_mg in steps[lot]:
            found[place] += amount * mass_mg / (took[lot] or 1)
            found[lot] -= amount * mass_mg / (took[lot] or 1)
    told = {f"origin {row['lot']}": row["mass_mg"] for row in audit["origins"]}
    told |= {row["lot"] or row["fate"]: row["mass_mg"] for row in audit["whereabouts"]}
    for key in sorted(told.keys() | found.keys(), key=str):
        if abs(told.get(key, 0) - found[key]) > 2 + 1e-9 * sum(roots.values()):
            yield f"{key}: {told.get(key, 0)} mg, the transfers give {found[key]:.0f} mg"


def wrong_entries(entries, point):
    """Yield entries that the checkpoint does not hold."""
    for entry in entries:
        leaf = sha256(b"\x00" + sha256(canonical(entry["content"])).digest()).digest()
        if not is_included(leaf, entry["leaf"], point["size"], entry["path"], point["root"]):
            yield f"{entry['name']}: is not the entry that the checkpoint holds"


def faults(archive, expected):
    """Yield everything that is wrong with an audit ZIP."""

    def lines(name):
        file = io.TextIOWrapper(archive.open(name), "utf-8", newline="")
        return iter(lambda: file.readline(10_000_000), "")

    def entries():
        return (json.loads(row.rstrip(",\n")) for row in lines("entries.json") if row[1:] != "\n")

    audit = json.loads(archive.open("audit.json").read(500_000_000))
    point, fingerprint = audit["checkpoint"], sha256(canonical(audit)).hexdigest()
    copy = f"{point['size']}:{point['root']}"
    print(f"{audit['number']}: {audit['question']}\ncheckpoint  {copy}\nfingerprint {fingerprint}")
    if expected not in {"", copy}:
        yield "checkpoint: is another one than the one you gave"
    yield from wrong_entries(entries(), point)
    named = ({key: entry[key] for key in NAME} for entry in entries())
    yield from differences("entries.json", audit["entries"], named, ["name"])
    for name, wanted in tables_of(audit, entries).items():
        yield from differences(name, wanted, csv.DictReader(lines(name)), KEYS[name])
        sum_mg = sum(int(row.get("mass_mg") or 0) for row in csv.DictReader(lines(name)))
        if sum_mg != (told_mg := audit["sums_mg"][name]):
            yield f"{name}: sums to {sum_mg} mg, audit.json says {told_mg} mg"
    if audit["follows"] == "back" or audit.get("is_whole"):
        yield from wrong_answers(audit, entries)


if __name__ == "__main__":
    try:
        wrong = list(faults(zipfile.ZipFile(sys.argv[1]), "".join(sys.argv[2:3])))
    except Exception as error:
        wrong = [f"cannot be read: {error!r}"]
    sys.exit("\n".join(wrong) or print("Everything agrees."))
