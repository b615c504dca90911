"""Audit files: the list, what a question is answered, and a file as its paper and its ZIP."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from django.conf import settings
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import override

from inventory.calculations.fingerprints import fingerprint_with
from inventory.models import Checkpoint
from inventory.queries.entries import entries_at, leaves_in, moved_mg, names_at, sealed_entries
from products.queries.addresses import printed_address
from workshop.calculations.audit_archives import NAMED, Entries, archive_zip, sums_of
from workshop.calculations.audit_sheets import Cover, audit_pdf
from workshop.models import AuditFile
from workshop.queries.audit_answers import answer_to, known_at_of, places_named
from workshop.queries.audit_entries import Shown, entries_shown
from workshop.queries.audit_methods import checkpoint_blocks, method_blocks
from workshop.queries.audit_pictures import picture_of
from workshop.queries.audit_questions import Question
from workshop.queries.audit_scopes import scope_of
from workshop.queries.audit_words import (
    answer_said,
    correction_blocks,
    moment_said,
    origin_blocks,
    posting_blocks,
    question_said,
    weighing_blocks,
    whereabouts_blocks,
)

SCRIPT = settings.ROOT / "static" / "verify_audit.py"
DATA = (
    "asked",
    "question",
    "checkpoint",
    "follows",
    "roots",
    "total_mg",
    "origins",
    "whereabouts",
    "balance",
    "weighings",
    "uncertainty",
)
DATA_SINCE = ("is_whole",)  # what files of before do not say
LINE = "SIZE:ROOT:FINGERPRINT"
ENTRY = ("name", "kind", "leaf")


def audit_list() -> QuerySet[AuditFile]:
    """Return the audit files, newest first, with all that a row prints but their contents."""
    return AuditFile.objects.select_related("by", "checkpoint").defer("content")


def content_for(question: Question, checkpoint: Checkpoint) -> dict:
    """Return all that is kept of a question: the answer at a checkpoint, and its words.

    Raises Unanswerable with the code of a refusal.
    """
    scope = scope_of(question, known_at_of(checkpoint))
    answer = answer_to(question, scope, checkpoint)
    places = places_named(scope, checkpoint)
    answer["spans"] = places.spans
    entries = entries_shown(scope, places)
    answer["moved_mg"] = entries.moved_mg
    answer["question"] = question_said(question, scope.follows)
    answer["facts"] = answer_said(question, answer)
    picture = picture_of(scope)
    return answer | {
        "site": printed_address(),
        "cover": cover_words(answer, entries.count),
        "read_me": read_me_words(),
        "picture": picture,
        "blocks": blocks_of(answer, picture, entries),
    }


def picture_blocks(picture: dict) -> list[list]:
    """Return the picture, with how it is read; or that there is too much to be drawn."""
    heading = ["heading", _("Picture of the trace")]
    if not picture:
        return [
            heading,
            [
                "text",
                _("There are too many transfers for a picture; the tables of the ZIP have all."),
            ],
        ]
    if picture["is_down"]:
        sentence = _("Lines are as wide as the mass that they carry, from the top down.")
    else:
        sentence = _("Lines are as wide as the mass that they carry, from left to right.")
    legend = _(
        "A small square shows the colour of a box whose lots all have one. A dashed line goes back "
        "to what stands before it in the picture."
    )
    return [heading, ["text", sentence], ["text", legend], ["picture"]]


def blocks_of(answer: dict, picture: dict, entries: Shown) -> list[list]:
    """Return what stands on the paper after the answer."""
    return [
        *picture_blocks(picture),
        *origin_blocks(answer),
        *whereabouts_blocks(answer),
        *posting_blocks(entries),
        *correction_blocks(entries),
        *weighing_blocks(answer),
        *method_blocks(answer["follows"]),
        *checkpoint_blocks(answer["checkpoint"], entries.count),
    ]


class Anew:
    """What is read from the book anew each time it is gone through."""

    def __init__(self, read: Callable[..., Iterator[dict]], *about):
        self.read, self.about = read, about

    def __iter__(self) -> Iterator[dict]:
        return self.read(*self.about)


def leaves_named(content: dict) -> Sequence[int]:
    """Return the places of the entries of an audit file; those of before are kept one by one."""
    return content["leaves"] if "leaves" in content else leaves_in(content["spans"])


def moved_mg_of(content: dict) -> int:
    """Return what all transfers named sum to, in mg; files of before do not keep it."""
    return content["moved_mg"] if "moved_mg" in content else moved_mg(leaves_named(content))


def named_rows(leaves: Sequence[int]) -> Iterator[dict]:
    """Yield name, kind and place of the entries at some places."""
    return (dict(zip(ENTRY, row, strict=True)) for row in names_at(leaves))


def told_rows(leaves: Sequence[int]) -> Iterator[dict]:
    """Yield the entries at some places with their content."""
    return map(vars, entries_at(leaves))


def sealed_rows(leaves: Sequence[int], checkpoint: Checkpoint) -> Iterator[dict]:
    """Yield the entries at some places with their content and the path to a checkpoint."""
    return map(vars, sealed_entries(leaves, checkpoint))


def entries_of(made: AuditFile) -> Entries:
    """Return the entries that an audit file names, read from the book a few hundred at a time."""
    leaves = leaves_named(made.content)
    sealed = Anew(sealed_rows, leaves, made.checkpoint)
    return Entries(Anew(named_rows, leaves), Anew(told_rows, leaves), sealed)


def data_of(made: AuditFile) -> dict:
    """Return an audit file in plain values but for its entries, for other programs and for its fingerprint."""
    content = made.content
    own = {"number": made.number, "address": address_of(made)}
    sums = {"sums_mg": sums_of(moved_mg_of(content), content["origins"])}
    since = {key: content[key] for key in DATA_SINCE if key in content}
    return {key: content[key] for key in DATA} | since | own | sums


def address_of(made: AuditFile) -> str:
    """Return where an audit file is opened again."""
    return f"{made.content['site']}{made.get_absolute_url()}"


def audit_zip(made: AuditFile) -> Iterator[bytes]:
    """Yield an audit file as a ZIP, some bytes at a time; the same bytes each time."""
    added = {"verify_audit.py": SCRIPT.read_bytes(), "README.txt": read_me(made).encode()}
    return archive_zip(data_of(made), entries_of(made), added)


def paper_line(made: AuditFile) -> str:
    """Return the one line of the paper that everything in the ZIP can be held against."""
    mark = fingerprint_with(data_of(made), NAMED, entries_of(made).named)
    return f"{made.checkpoint.size}:{made.checkpoint.root}:{mark}"


def commands_of(site: str, number: str, line: str = LINE) -> list[str]:
    """Return the two commands that fetch the script and check a ZIP."""
    return [
        f"curl -O {site}/verify/verify_audit.py",
        f"python3 -I verify_audit.py {number}.zip {line}",
    ]


def read_me(made: AuditFile) -> str:
    """Return what stands beside the data in the ZIP."""
    content = made.content
    point = content["checkpoint"]
    how, claimed, units, leaf = content["read_me"]
    commands = [f"    {each}" for each in commands_of(content["site"], made.number)]
    copy = f"    {point['size']}:{point['root']}"
    lines = [f"{made.number}: {made.question}", "", how, "", *commands, "", claimed, "", copy]
    return "\n".join([*lines, "", units, leaf, ""])


def read_me_words() -> list[str]:
    """Return the sentences that stand beside the data."""
    return [
        _(
            "Check this file with two commands; the second with the line SIZE:ROOT:FINGERPRINT from "
            "the paper. This text and the script beside it are the only things that no check looks at:"
        ),
        _("The checkpoint, SIZE:ROOT, that this file claims to stand on:"),
        _(
            "Masses are whole milligrams, uncertainties whole micrograms; people and scales stand in "
            "the entries by their keys in the book."
        ),
        _(
            "A leaf is SHA-256(0x00 || digest), the digest the SHA-256 over the canonical JSON "
            "(RFC 8785) of an entry's content."
        ),
    ]


def cover_words(answer: dict, entries: int) -> dict:
    """Return what stands on the first page beside question and answer."""
    point = answer["checkpoint"]
    place = ", ".join(filter(None, [settings.WORKSHOP_NAME, settings.WORKSHOP_PLACE]))
    return {
        "title": _("Audit file"),
        "headings": [_("Question"), _("Answer"), _("Address")],
        "facts": [
            [_("Workshop"), place],
            [_("As the book knew it on"), moment_said(point["known_at"])],
            [_("Checkpoint"), _("%(number)s, over %(size)s entries") % point],
            [_("Entries named in this file"), str(entries)],
        ],
        "answer": answer["facts"],
    }


def made_words(*, by: str, at: datetime, reason: str) -> list[list[str]]:
    """Return who made an audit file when, and for whom or why, as facts."""
    facts = {"at": moment_said(at), "by": by}
    told = [[_("Made"), _("%(at)s by %(by)s") % facts]]
    return told + ([[_("For whom or why"), reason]] if reason else [])


def made_facts(made: AuditFile) -> list[list[str]]:
    """Return who made it when; files of before do not keep the words, so those of the workshop's language."""
    if "made" in made.content:
        return made.content["made"]
    with override(settings.LANGUAGE_CODE):
        return made_words(by=str(made.by), at=made.made_at, reason=made.reason)


def audit_paper(made: AuditFile) -> bytes:
    """Return an audit file as a PDF; the same bytes each time."""
    content, line = made.content, paper_line(made)
    cover = Cover(
        number=made.number,
        question=made.question,
        address=address_of(made),
        line=line,
        **content["cover"] | {"headings": [*content["cover"]["headings"][:3], LINE]},
    )
    cover = replace(cover, facts=[*cover.facts, *made_facts(made)])
    commands = commands_of(content["site"], made.number, line)
    return audit_pdf(cover, content["blocks"], content["picture"], commands)
