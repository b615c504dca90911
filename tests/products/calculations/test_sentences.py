"""Sentences that know their code and facts."""

import ast
from datetime import date
from pathlib import Path

import pytest

from products.calculations import sentences
from products.calculations.claims import claim_sentence, recycled_content
from products.calculations.marks import explain, mark_for_shares, parse
from products.calculations.sentences import TEMPLATES, Sentence, kept, restored

CLAIM = claim_sentence(
    recycled_content({"post-consumer": 2, "pre-consumer": 1, "unknown": 4}),
    on=date(2026, 3, 12),
    position="P-00042",
)
MIXED = mark_for_shares({"PE-HD": 0.995, "PC+ABS": 0.003, "PP": 0.002})
SAID = [CLAIM, *explain(parse(">PA66-(GF25+MD15)FR(52)<")), *MIXED.warnings]


@pytest.mark.parametrize("sentence", SAID)
def test_a_sentence_kept_and_restored_says_the_same(sentence):
    assert restored(kept(sentence)) == sentence


def test_a_sentence_without_its_facts_is_refused():
    with pytest.raises(KeyError):
        Sentence("polymer", symbol="PP")


def test_an_unknown_code_is_refused():
    with pytest.raises(KeyError):
        restored({"code": "song", "facts": {}})


def test_every_template_is_marked_for_translators():
    """Those who collect texts look for calls of `gettext_noop` in the source."""
    tree = ast.parse(Path(sentences.__file__).read_text())
    tables = [node for node in ast.walk(tree) if isinstance(node, ast.Dict) and len(node.keys) > 9]
    values = [value for table in tables for value in table.values]
    assert {value.func.id for value in values} == {"gettext_noop"}
    assert len(values) == len(TEMPLATES)


def test_every_template_is_used():
    app = Path(sentences.__file__).parents[1]
    source = "".join(p.read_text() for p in app.rglob("*.py") if p.name != "sentences.py")
    tails = ("-with-unknown", "claim")
    unused = [code for code in TEMPLATES if f'"{code}"' not in source]
    assert [code for code in unused if not code.endswith(tails) and "-consumer" not in code] == []
