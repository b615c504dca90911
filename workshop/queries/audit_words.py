"""The words of an audit file: question, answer, tables and method, as they will stand on its paper.

They are put into words once, when the file is made, and kept: a thing may be called otherwise later.
A block is a list that begins with its kind: heading, text, code, table or picture.
"""

from collections.abc import Sequence
from datetime import date, datetime

from django.utils.formats import date_format, number_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.calculations.codes import group_code
from inventory.models import Basis, Identification, Lot, Posting, Transfer
from inventory.models.materials import OriginClass
from inventory.queries.entries import Entry
from inventory.queries.lots import lot_label
from inventory.queries.masses import exact_mass_said, mass_said
from inventory.queries.percentages import percent_said
from inventory.queries.traces import batches, lots_by_key
from workshop.models import AuditFile, Run
from workshop.queries.audit_entries import MOST_ROWS, Shown
from workshop.queries.audit_questions import Question

Kind = AuditFile.Kind
ROLES, KINDS = dict(Transfer.Role.choices), dict(Posting.Kind.choices)
CLASSES, BASES = dict(OriginClass.choices), dict(Basis.choices)


def moment_said(text: str | datetime) -> str:
    """Return a moment in the workshop's zone."""
    at = datetime.fromisoformat(text) if isinstance(text, str) else text
    return date_format(localtime(at), "SHORT_DATETIME_FORMAT")


def share_said(share: str) -> str:
    """Return a share (0 to 1) as per cent with two decimals, never rounded to none or all of it."""
    return percent_said(share, 2)


def uncertainty_said(micrograms: int) -> str:
    """Return an uncertainty in mg, g or kg."""
    return exact_mass_said(round(micrograms / 1000))


def days_said(since: date | None, until: date | None) -> str:
    """Return the days that count, empty when all do."""
    facts = {"since": day_said(since), "until": day_said(until)}
    if since and until:
        return _("from %(since)s to %(until)s") % facts
    if since or until:
        return (_("from %(since)s on") if since else _("until %(until)s")) % facts
    return ""


def day_said(day: date | None) -> str:
    """Return a day in the reader's short format."""
    return date_format(day, "SHORT_DATE_FORMAT") if day else ""


def question_said(question: Question, follows: str) -> str:
    """Return the question as a sentence."""
    days = days_said(question.since, question.until)
    facts = {"subject": subject_said(question), "days": days}
    if question.kind == Kind.PERIOD:
        return _("What happened in the workshop %(days)s?") % facts
    if question.kind == Kind.SOURCE:
        asked = _("Where did what %(subject)s delivered go?")
        dated = _("Where did what %(subject)s delivered %(days)s go?")
    elif question.kind == Kind.DESIGN:
        asked = _("What do all parts of the design %(subject)s consist of?")
        dated = _("What do the parts of the design %(subject)s made %(days)s consist of?")
    elif question.kind == Kind.RUN:
        asked = dated = _("What went into run %(subject)s, and what did it become?")
    elif follows == "forward":
        asked = dated = _("Where did %(subject)s go?")
    else:
        asked = dated = _("What does %(subject)s consist of, and where did it come from?")
    return (dated if days else asked) % facts


def subject_said(question: Question) -> str:
    """Return what people call what is asked about."""
    if question.kind != Kind.LOT:
        return question.subject
    lot = Lot.objects.select_related("bin", "delivery").filter(code=question.subject).first()
    kind, name, code = Lot.Kind(lot.kind).label, lot_label(lot), group_code(lot.code)
    return f"{kind} {code}" if code in name else f"{kind} {name} ({code})"


def answer_said(question: Question, answer: dict) -> list[list]:
    """Return the answer in a few facts."""
    facts = []
    if answer["roots"]:
        facts.append(asked_said(answer))
        facts.append([_("Lots asked about"), str(len(answer["roots"]))])
    facts += [[str(label), text] for label, text in classes_said(answer)]
    facts += balance_said(question, answer["balance"])
    if answer["whereabouts"]:
        held = [row["mass_mg"] for row in answer["whereabouts"] if not row["fate"]]
        gone = [row["mass_mg"] for row in answer["whereabouts"] if row["fate"]]
        facts.append([_("Held in the workshop or in use"), exact_mass_said(sum(held))])
        facts.append([_("Left the workshop"), exact_mass_said(sum(gone))])
    told = answer["uncertainty"]
    if told["known"]:
        facts.append(
            [
                _("Weighing uncertainty U (k\N{NO-BREAK SPACE}=\N{NO-BREAK SPACE}2)"),
                exact_mass_said(told["quoted_mg"]),
            ]
        )
    return facts


def asked_said(answer: dict) -> list[str]:
    """Return the mass asked about; of a lot that gave something, also what was left in it."""
    told = {key: exact_mass_said(answer[f"{key}_mg"] or 0) for key in ("total", "held")}
    if answer["held_mg"] in {None, answer["total_mg"]}:
        return [_("Mass asked about"), told["total"]]
    sentence = _("%(total)s, of which %(held)s were in it when the book was asked")
    return [_("What was filled into it"), sentence % told]


def classes_said(answer: dict):
    """Yield each origin class with its share and mass, the largest first."""
    sums = {}
    for row in answer["origins"]:
        sums[row["class"]] = sums.get(row["class"], 0) + row["mass_mg"]
    for name, mass_mg in sorted(sums.items(), key=lambda each: -each[1]):
        share = share_said(str(mass_mg / answer["total_mg"]))
        yield str(CLASSES.get(name, name)), f"{share}, {exact_mass_said(mass_mg)}"


def balance_said(question: Question, balance: dict) -> list[list]:
    """Return what came in and went out, in words."""
    if not balance:
        return []
    is_run = question.kind == Kind.RUN
    facts = [] if is_run else [[_("In stock before"), exact_mass_said(balance["opening_mg"])]]
    facts.append([_("Loaded") if is_run else _("Came in"), exact_mass_said(balance["in_mg"])])
    for role, mass_mg in balance["out_mg"].items():
        label = _("Became: %(role)s") if is_run else _("Went out: %(role)s")
        facts.append([label % {"role": ROLES[role]}, exact_mass_said(mass_mg)])
    last = _("Still in its charges") if is_run else _("In stock after")
    facts.append([last, exact_mass_said(balance["left_mg" if is_run else "closing_mg"])])
    return facts


def origin_blocks(answer: dict) -> list[list]:
    """Return the origins as a table."""
    if answer["follows"] != "back":
        return []
    headings = [
        _("Delivery"),
        _("From"),
        _("What it is"),
        _("Origin class"),
        _("Mass|"),
        _("Share|"),
    ]
    rows = [
        [
            row["name"],
            row["source"] or "–",
            material_said(row),
            str(CLASSES.get(row["class"], row["class"])),
            exact_mass_said(row["mass_mg"]),
            share_said(row["share"]),
        ]
        for row in answer["origins"]
    ]
    widths = [18, 19, 24, 14, 14, 11]
    return [["heading", _("Origins")], *cut_table(headings, rows, widths)]


def material_said(row: dict) -> str:
    """Return what an origin is, and how its polymer was told where anybody told it."""
    said = f"{row['polymer'] or '?'}, {row['colour']}"
    how = row["told_by"]
    if how in {"", Identification.UNKNOWN}:
        return said
    return _("%(material)s, told by %(how)s") % {"material": said, "how": Identification(how).label}


def whereabouts_blocks(answer: dict) -> list[list]:
    """Return who held what, and what had left, as a table."""
    if answer["follows"] != "forward":
        return []
    rows = [
        [
            row["name"] or _("left the workshop: %(role)s") % {"role": ROLES[row["fate"]]},
            group_code(row["lot"]),
            exact_mass_said(row["mass_mg"]),
            share_said(row["share"]),
        ]
        for row in answer["whereabouts"]
    ]
    headings, widths = [_("Where"), _("Code"), _("Of it|"), _("Share|")], [40, 26, 20, 14]
    return [["heading", _("Where it was")], *cut_table(headings, rows, widths)]


def cut_table(
    headings: Sequence[str], rows: list, widths: Sequence[int], count: int | None = None
) -> list[list]:
    """Return a table of at most so many rows (widths in per cent), and what is said of the rest.

    `count` is how many rows there are where not all of them are given.
    """
    if not rows:
        return [["text", _("None.")]]
    rest = (len(rows) if count is None else count) - len(rows[:MOST_ROWS])
    blocks = [["table", list(headings), rows[:MOST_ROWS], list(widths)]]
    if rest:
        both = {"count": rest, "all": rest + len(rows[:MOST_ROWS])}
        facts = {key: number_format(count, force_grouping=True) for key, count in both.items()}
        sentence = _(
            "These are the first of %(all)s rows; %(count)s more stand in the tables of the ZIP."
        )
        blocks.append(["text", sentence % facts])
    return blocks


def posting_blocks(entries: Shown) -> list[list]:
    """Return the postings as a table, a row for each transfer, and the changes as another."""
    names = labels_of(entries.postings)
    rows = [
        [
            entry.name,
            moment_said(entry.content["happened_at"]),
            str(ROLES[line[3]]),
            names.get(line[0], _("outside")),
            names.get(line[1], _("outside")),
            exact_mass_said(line[2]),
        ]
        for entry in entries.postings
        for line in entry.content["transfers"]
    ]
    headings = [_("Posting"), _("When"), _("What"), _("From"), _("To"), _("Mass|")]
    blocks = [["heading", _("Postings")]]
    blocks += cut_table(headings, rows, [12, 17, 15, 21, 21, 14], entries.transfers)
    if entries.changes:
        blocks.append(["heading", _("Decisions where no mass moved")])
        headings = [_("Entry"), _("When"), _("What"), _("Of"), _("Why")]
        called = names_called({entry.content["subject"] for entry in entries.changes})
        changes = [change_row(entry, called) for entry in entries.changes]
        blocks += cut_table(headings, changes, [15, 17, 17, 20, 31], entries.changed)
    return blocks


def change_row(entry: Entry, called: dict[str, str]) -> list[str]:
    """Return a change as the cells of a row; `called` has what people call lots and runs, by code."""
    content = entry.content
    when, subject = moment_said(content["happened_at"]), content["subject"]
    return [entry.name, when, content["verb"], called.get(subject, subject), content["reason"]]


def names_called(codes: set[str]) -> dict[str, str]:
    """Return what people call the lots and runs among some codes."""
    found = {run.code: run.number for run in Run.objects.filter(code__in=codes)}
    return found | lots_called(codes)


def labels_of(entries: list[Entry]) -> dict[str, str]:
    """Return what people call each lot of some transfers, by code."""
    lines = [line for entry in entries for line in entry.content["transfers"]]
    codes = {code for line in lines for code in line[:2] if code}
    return lots_called(codes)


def lots_called(codes: set[str]) -> dict[str, str]:
    """Return what people call the lots among some codes."""
    keys = []
    for some in batches(codes):
        keys += Lot.objects.filter(code__in=some).values_list("pk", flat=True)
    return {lot.code: lot_label(lot) for lot in lots_by_key(keys).values()}


def correction_blocks(entries: Shown) -> list[list]:
    """Return what was reversed or corrected, with the reasons."""
    rows = [
        [
            entry.name,
            moment_said(entry.content["recorded_at"]),
            str(KINDS.get(entry.content["kind"], "")),
            correction_said(entry.content, entries.undone),
            entry.content["reason"],
        ]
        for entry in entries.corrections
    ]
    headings = [_("Posting"), _("Recorded"), _("Kind"), _("What it does"), _("Why")]
    blocks = [["heading", _("Corrections")]]
    if not rows:
        return [*blocks, ["text", _("Nothing named here was reversed or corrected by then.")]]
    return blocks + cut_table(headings, rows, [12, 17, 14, 24, 33], entries.corrected)


def correction_said(content: dict, names: dict[str, str]) -> str:
    """Return what a posting undoes or replaces."""
    if content["reverses"]:
        return _("undoes %(name)s") % {"name": names.get(content["reverses"], content["reverses"])}
    return _("replaces %(name)s") % {"name": names.get(content["replaces"], content["replaces"])}


def weighing_blocks(answer: dict) -> list[list]:
    """Return each mass with its standard uncertainty u, and U = 2 u of all together."""
    told = answer["uncertainty"]
    rows = [
        [
            row["entry"],
            str(ROLES[row["role"]]),
            row["scale"] or str(BASES[row["basis"]]),
            mass_said(row["resolution_mg"]) if row["resolution_mg"] else "–",
            exact_mass_said(row["mass_mg"]),
            uncertainty_said(row["uncertainty_ug"]) if row["uncertainty_ug"] else "–",
        ]
        for row in answer["weighings"]
    ]
    headings = [_("Posting"), _("What"), _("How it is known"), _("Step d|"), _("Mass|"), _("u|")]
    blocks = [["heading", _("Weighing uncertainty")], ["text", uncertainty_sentence(told)]]
    return blocks + cut_table(headings, rows, [13, 20, 25, 12, 18, 12])


def uncertainty_sentence(told: dict) -> str:
    """Return the combined uncertainty in a sentence, and what it does not cover."""
    facts = {
        "standard": uncertainty_said(told["standard_ug"]),
        "expanded": exact_mass_said(told["quoted_mg"]),
        "mass": exact_mass_said(told["known_mg"]),
        "typed": told["count"] - told["known"],
    }
    if not told["known"]:
        return _(
            "No mass that was asked about was read off a named scale, so nothing is known of u."
        )
    sentence = _(
        "The weighings below, of %(mass)s together, have the combined standard uncertainty "
        "u = %(standard)s and the expanded uncertainty U = %(expanded)s (k = 2, about 95 %%)."
    )
    if told["count"] > told["known"]:
        sentence += " " + ngettext(
            "%(typed)s mass was typed without a scale and is not covered.",
            "%(typed)s masses were typed without a scale and are not covered.",
            facts["typed"],
        )
    return sentence % facts
