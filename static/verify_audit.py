"""Check an audit ZIP without the program that made it; standard library only, Python 3.10 or newer.

    python3 -I verify_audit.py A-0001.zip [SIZE:ROOT, as on the paper or in a copy kept elsewhere]

Each entry is hashed again (SHA-256 over canonical JSON, RFC 8785) and led by its path to the root of
the checkpoint (RFC 9162, 2.1.3.2); the tables must say what the entries say, by row and in sum, and
the origins follow from the transfers. Of RFC 8785 only what occurs is written: objects with ASCII
keys, lists, text, whole numbers below 2^53, true, false, null. No ZIP shows what its maker left out:
compare the fingerprint with the one on the paper.
"""

import csv
import io
import json
import sys
import zipfile
from collections import defaultdict
from graphlib import TopologicalSorter
from hashlib import sha256

NAME, HEAD = ("name", "kind", "leaf"), ("happened_at", "recorded_at", "by", "reason")
LINE = ("source", "target", "mass_mg", "role", "melted", "basis", "scale", "uncertainty_ug")
KEYS = {"entries.csv": ["name"], "transfers.csv": ["entry", "transfer"], "origins.csv": ["lot"]}


def canonical(value):
    """Return the bytes of RFC 8785 for the kinds of values that entries hold."""
    if isinstance(value, dict) and all(map(str.isascii, value)):
        pairs = (canonical(key) + b":" + canonical(value[key]) for key in sorted(value))
        return b"{" + b",".join(pairs) + b"}"
    if isinstance(value, list):
        return b"[" + b",".join(map(canonical, value)) + b"]"
    if isinstance(value, str | bool | None) or (type(value) is int and abs(value) < 2**53):
        return json.dumps(value, ensure_ascii=False).encode()
    raise ValueError(f"{value!r:.40} has no place in an entry")


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


def wrong_entries(entries, point):
    """Yield entries that the checkpoint does not hold."""
    for entry in entries:
        leaf = sha256(b"\x00" + sha256(canonical(entry["content"])).digest()).digest()
        if not is_included(leaf, entry["leaf"], point["size"], entry["path"], point["root"]):
            yield f"{entry['name']}: is not the entry that the checkpoint holds"


def differences(name, wanted, rows, keys):
    """Yield how the rows of a table differ from what they should be, each by its key."""
    first, found = {" ".join(map(row.get, keys)): row for row in wanted}, {}
    for row in rows:
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
    heads, lines = [], []
    for entry in entries:
        content = entry["content"]
        heads.append({key: text((content | entry)[key]) for key in NAME + HEAD})
        for place, line in enumerate(content.get("transfers", ()), 1):
            row = zip(LINE, map(text, line), strict=True)
            lines.append({"entry": entry["name"], "transfer": str(place), **dict(row)})
    origins = [{key: text(value) for key, value in row.items()} for row in audit["origins"]]
    return {"entries.csv": heads, "transfers.csv": lines, "origins.csv": origins}


def taken_by_lot(contents):
    """Return what each lot took by postings that stand, as pairs of source and mass in mg."""
    taken, undone = defaultdict(list), {content.get("reverses") for content in contents}
    for content in contents:
        if not content.get("reverses") and content["uuid"] not in undone:
            for source, target, mass_mg, *_ in content.get("transfers", ()):
                taken[target].append((source, mass_mg))
    return taken


def wrong_origins(audit, entries):
    """Yield origins that do not follow from the transfers, by one sweep from the roots back."""
    taken = taken_by_lot([entry["content"] for entry in entries])
    graph = {lot: [source for source, _ in rows if source] for lot, rows in taken.items()}
    amounts, origins = defaultdict(float, audit["roots"]), defaultdict(float)
    for lot in reversed([*TopologicalSorter(graph).static_order()]):
        for source, mass_mg in taken[lot]:
            share = mass_mg / sum(mg for _, mg in taken[lot])
            (amounts if source else origins)[source or lot] += amounts[lot] * share
    told = {row["lot"]: row["mass_mg"] for row in audit["origins"]}
    for lot in sorted(told.keys() | origins.keys()):
        if abs(told.get(lot, 0) - origins[lot]) > 2 + 1e-9 * sum(audit["roots"].values()):
            yield f"origin {lot}: {told.get(lot, 0)} mg, the transfers give {origins[lot]:.0f} mg"


def faults(archive, expected):
    """Yield everything that is wrong with an audit ZIP."""
    if sum(each.file_size for each in archive.infolist()) > 500_000_000:
        raise ValueError("unpacked it would be too large")
    files = {name: archive.read(name).decode() for name in ("audit.json", "entries.json", *KEYS)}
    audit, entries = json.loads(files["audit.json"]), json.loads(files["entries.json"])
    point, fingerprint = audit["checkpoint"], sha256(canonical(audit)).hexdigest()
    copy = f"{point['size']}:{point['root']}"
    print(f"{audit['number']}: {audit['question']}\ncheckpoint  {copy}\nfingerprint {fingerprint}")
    if expected not in {"", copy}:
        yield "checkpoint: is another one than the one you gave"
    yield from wrong_entries(entries, point)
    named = [{key: entry[key] for key in NAME} for entry in entries]
    yield from differences("entries.json", audit["entries"], named, ["name"])
    for name, wanted in tables_of(audit, entries).items():
        rows = list(csv.DictReader(io.StringIO(files[name], newline="")))
        sum_mg = audit["sums_mg"][name]
        yield from differences(name, wanted, rows, KEYS[name])
        if sum_mg != (found_mg := sum(int(row.get("mass_mg") or 0) for row in rows)):
            yield f"{name}: sums to {found_mg} mg, audit.json says {sum_mg} mg"
    if audit["follows"] == "back":
        yield from wrong_origins(audit, entries)


if __name__ == "__main__":
    try:
        with zipfile.ZipFile(sys.argv[1]) as opened:
            wrong = list(faults(opened, "".join(sys.argv[2:3])))
    except Exception as error:
        wrong = [f"cannot be read: {error!r}"]
    sys.exit("\n".join(wrong) or print("Everything agrees."))
