"""Sentences of the calculations in another language than English."""

import struct

import pytest
from django.utils.translation import override, trans_real

from products.actions.passports import issue_passport
from products.calculations.marks import explain, parse
from products.calculations.sentences import TEMPLATES, Sentence, kept
from products.models import Part
from products.queries.sentences import said, said_again
from products.views.passport_pages import spoken_mark
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import make_part

POLYMER = explain(parse(">PP<"))[0]


def catalogue(texts: dict[str, str]) -> bytes:
    """Return a catalogue of translations as a .mo file (GNU gettext manual, 10.3)."""
    head = {"": "Content-Type: text/plain; charset=UTF-8\n"}
    pairs = sorted((head | texts).items())
    columns = [[text.encode() for text in column] for column in zip(*pairs, strict=True)]
    at, tables, body = 28 + 16 * len(pairs), b"", b""
    for column in columns:
        for text in column:
            tables += struct.pack("<II", len(text), at + len(body))
            body += text + b"\0"
    head = struct.pack("<7I", 0x950412DE, 0, len(pairs), 28, 28 + 8 * len(pairs), 0, at)
    return head + tables + body


@pytest.fixture
def esperanto(tmp_path, settings):
    """A reader's language with three of the texts."""
    folder = tmp_path / "eo" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    texts = {
        TEMPLATES["polymer"]: "%(symbol)s estas %(name)s.",
        TEMPLATES["no-mark"]: "Neniu marko: %(rule)s",
        TEMPLATES["space"]: "Neniuj spacoj en marko.",
    }
    (folder / "django.mo").write_bytes(catalogue(texts))
    settings.LOCALE_PATHS = [tmp_path]
    trans_real._translations = {}  # noqa: SLF001 (catalogues that were read before)
    with override("eo"):
        yield
    trans_real._translations = {}  # noqa: SLF001


def test_a_sentence_is_said_in_the_readers_language(esperanto):
    assert said(POLYMER) == "PP estas polypropylene."


def test_a_sentence_inside_a_sentence_is_too(esperanto):
    assert (
        said(Sentence("no-mark", rule=Sentence("space"))) == "Neniu marko: Neniuj spacoj en marko."
    )


def test_a_stored_sentence_is_said_from_its_code(esperanto):
    assert said_again(str(POLYMER), kept(POLYMER)) == "PP estas polypropylene."


@pytest.mark.parametrize(
    "stored", [None, {"code": "song", "facts": {}}, {"code": "polymer", "facts": {}}]
)
def test_what_is_not_known_any_more_stands_as_it_was_kept(stored):
    assert said_again("PP is polypropylene.", stored) == "PP is polypropylene."


def test_a_mark_of_an_older_version_stands_as_it_was_kept():
    mark = {"text": ">PP<", "words": ["PP is polypropylene."], "notes": []}
    assert spoken_mark(mark) == mark


@pytest.mark.django_db
def test_a_passport_keeps_its_texts_and_beside_them_code_and_facts(operator):
    part = make_part(operator, make_full_bin(operator)[1], KG)
    issue_passport(part=part, act=make_act(operator, "again"))
    content = Part.objects.get().passports.first().content
    assert content["claim"]["sentence"].startswith("Contains 100 % post-consumer")
    assert content["claim"]["said"]["facts"]["position"] in content["claim"]["sentence"]
    assert [each["code"] for each in content["mark"]["said"]["words"]] == [
        "polymer",
        "characteristics",
    ]
