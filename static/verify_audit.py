"""Check an audit ZIP without the program that made it; standard library only, Python 3.10 or newer.

    python3 -I verify_audit.py A-0001.zip SIZE:ROOT:FINGERPRINT, as on the paper

Each entry is hashed (SHA-256, RFC 8785) and led by its path to the root (RFC 9162, 2.1.3.2); tables, shares and
answer follow from that, all of audit.json from the fingerprint. README.txt and this script are not looked at.
"""

import csv
import io
import json
import sys
import zipfile
from collections import Counter, defaultdict
from graphlib import TopologicalSorter
from hashlib import sha256
from itertools import chain, zip_longest

NAME, HEAD = ["name", "kind", "leaf"], ["happened_at", "recorded_at", "by", "reason"]
LINE = ["source", "target", "mass_mg", "role", "melted", "basis", "scale", "uncertainty_ug"]
ORIGIN = ["lot", "name", "source", "class", "polymer", "colour", "mass_mg", "share"]
WEIGHING = ["entry", "lot", "role", "mass_mg", "basis", "scale", "resolution_mg", "uncertainty_ug"]
KNOWN = WEIGHING[:5] + WEIGHING[7:]  # what an entry tells; of the scale only whether there was one
FILES = ["README.txt", "audit.json", "checkpoint.json", "entries.csv", "entries.json"]
FILES += ["origins.csv", "transfers.csv", "verify_audit.py", "weighings.csv"]


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


def differences(name, wanted, rows):
    """Yield the rows that something lacks, that have no place in it, or that stand elsewhere in it."""
    pairs = [pair for pair in zip_longest(wanted, rows) if pair[0] != pair[1]]
    right, found = (Counter(str(x[i]) for x in pairs if x[i] is not None) for i in (0, 1))
    yield from (f"{name}: lacks {row}" for row in right - found)
    yield from (f"{name}: has {row}, which has no place there" for row in found - right)
    yield from (f"{name}: {row} is not in its place" for row in found if right == found)


def text(value):
    found = value if isinstance(value, str) else "" if value is None else json.dumps(value)
    return "'" + found if isinstance(value, str) and found[:1] in {*"=+-@\t\r\n"} else found


def tables_of(audit, entries):
    """Yield each table: its name, its columns, and the rows that it must have."""
    lines = (
        {"entry": one["name"], "transfer": place} | dict(zip(LINE, line, strict=True))
        for one in entries()
        for place, line in enumerate(one["content"].get("transfers", ()), 1)
    )
    yield "entries.csv", NAME + HEAD, (one["content"] | one for one in entries())
    yield "transfers.csv", ["entry", "transfer", *LINE], lines
    yield "origins.csv", ORIGIN, audit["origins"]
    yield "weighings.csv", WEIGHING, audit["weighings"]


def standing(entries):
    """Yield name and fields of each transfer by a posting that was not undone."""
    undone = {each["content"].get("reverses") for each in entries()}
    for name, content in ((each["name"], each["content"]) for each in entries()):
        if not content.get("reverses") and content["uuid"] not in undone:
            yield from ((name, *line) for line in content.get("transfers", ()))


def wrong_figures(audit, entries):
    """Yield weighings that no entry has, and origins, or places, that a sweep from the roots does not give."""
    is_back, roots = audit["follows"] == "back", audit["roots"]
    weighed = Counter((*map(row.get, KNOWN), not row["scale"]) for row in audit["weighings"])
    took, steps, before = Counter(), defaultdict(list), defaultdict(list)
    for name, source, target, mass_mg, role, _, basis, scale, ug in standing(entries):
        weighed[name, target or source, role, mass_mg, basis, ug, not scale] -= 1
        way = (target, source or f"origin {target}") if is_back else (source, target or role)
        took[target] += mass_mg
        steps[way[0]] += [(way[1], mass_mg), (way[0], -mass_mg)]
        before[way[1]].append(way[0])
    yield from (f"weighings: {list(key)} is not in the entry" for key in +weighed)
    if not is_back and not audit.get("is_whole"):
        return
    found = defaultdict(float, roots)
    for lot in TopologicalSorter(before).static_order():
        found[lot] = amount = found[lot] if is_back or lot not in roots else took[lot]
        for place, mass_mg in steps[lot]:
            found[place] += amount * mass_mg / (took[lot] or 1)
    told = {f"origin {row['lot']}": row for row in audit["origins"]}
    told |= {row["lot"] or row["fate"]: row for row in audit["whereabouts"]}
    for key in sorted(told.keys() | found.keys(), key=str):
        mass_mg, share = map(told.get(key, {}).get, ("mass_mg", "share"), (0, 0))
        off_mg = max(abs(each - found[key]) for each in (mass_mg, float(share) * audit["total_mg"]))
        if off_mg > 2 + 1e-9 * sum(roots.values()):
            yield f"{key}: {mass_mg} mg, the transfers give {found[key]:.0f} mg; share {share}"


def faults(archive, given):
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
    if given not in {"", copy, f"{copy}:{fingerprint}"}:
        yield "checkpoint or fingerprint: is another one than the one you gave"
    for one in entries():
        leaf = sha256(b"\x00" + sha256(canonical(one["content"])).digest()).digest()
        if not is_included(leaf, one["leaf"], point["size"], one["path"], point["root"]):
            yield f"{one['name']}: is not the entry that the checkpoint holds"
    named = ({k: one[k] for k in sorted(one.keys() - {"content", "path"})} for one in entries())
    yield from differences("entries.json", audit["entries"], named)
    yield from differences("checkpoint.json", [point], [json.load(archive.open("checkpoint.json"))])
    yield from differences("total_mg", [sum(audit["roots"].values())], [audit["total_mg"]])
    for name, columns, wanted in tables_of(audit, entries):
        rows = ([text(row[key]) for key in columns] for row in wanted)
        yield from differences(name, chain([columns], rows), csv.reader(lines(name)))
    yield from differences("the ZIP", FILES, sorted(archive.namelist()))
    yield from wrong_figures(audit, entries)


if __name__ == "__main__":
    file, *said = sys.argv[1:] or sys.exit(__doc__)
    try:
        wrong = list(faults(zipfile.ZipFile(file), ":".join(said)))
    except Exception as error:
        wrong = [f"cannot be read: {error!r}"]
    if not wrong and ":".join(said).count(":") < 2:
        print("The file agrees with itself; hold SIZE:ROOT and the fingerprint against the paper.")
        sys.exit(2)
    sys.exit("\n".join(wrong) or print("Everything agrees."))
