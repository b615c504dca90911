"""Every word that a person reads can be translated; codes, marks and units cannot.

Templates are cut by Django's own lexer and read as HTML, Python by its syntax
tree. Scripts show only words that their page hands to them.
"""

import ast
import re
from html.parser import HTMLParser

import pytest
from django.template.base import Lexer, TokenType

from tests.architecture.files import ROOT, faults_in

TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
SOURCES = [
    path
    for app in ("inventory", "products", "workshop")
    for path in sorted((ROOT / app).rglob("*.py"))
    if not {"migrations", "api", "management", "demo"} & set(path.parts)
]
SCRIPTS = sorted((ROOT / "static" / "js").glob("*.js"))
SPOKEN = {"title", "aria-label", "placeholder", "alt", "aria-description", "label"}
UNSPOKEN = {"script", "style", "code"}
WORD = re.compile(r"[^\W\d_]{2,}")
NO_WORDS = {
    "kg",
    "mm",
    "URL",
    "ISO",
    "PDF",
    "CSV",
    "SVG",
    "PNG",
    "JSON",
    "DXF",
    "SHA",
    "RFC",
    "ASTM",
    "EC",
}
SHOWN_KEYWORDS = {"label", "help_text", "empty_label", "verbose_name", "verbose_name_plural"}
SAID_BY = {"refusal": 1, "ValidationError": 0, "success": 1, "warning": 1, "error": 1}


def speaks(text):
    return bool(set(WORD.findall(text)) - NO_WORDS)


class Spoken(HTMLParser):
    """Collects the texts and spoken attributes of a page."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.found, self.inside = [], []

    def handle_starttag(self, tag, attrs):
        self.inside += [tag] if tag in UNSPOKEN else []
        self.found += [text for name, text in attrs if name in SPOKEN and text and speaks(text)]

    def handle_endtag(self, tag):
        self.inside = self.inside[:-1] if tag in self.inside else self.inside

    def handle_data(self, data):
        self.found += [data.strip()] if speaks(data) and not self.inside else []


def plain_html(source):
    """Return a template as HTML, with 0 for all that is computed or translated."""
    kept, is_translated = [], False
    for token in Lexer(source).tokenize():
        word = token.contents.split()[:1] if token.token_type == TokenType.BLOCK else []
        is_translated |= word in (["blocktranslate"], ["comment"], ["verbatim"])
        if token.token_type == TokenType.TEXT:
            kept += [] if is_translated else [token.contents]
        elif token.token_type == TokenType.VAR:
            kept.append("0")
        if word in (["endblocktranslate"], ["endcomment"], ["endverbatim"]):
            is_translated = False
    return "".join(kept)


def said_in_template(source):
    reader = Spoken()
    reader.feed(plain_html(source))
    reader.close()
    return reader.found


def is_bare(node):
    parts = node.values if isinstance(node, ast.JoinedStr) else [node]
    return any(
        isinstance(part, ast.Constant) and isinstance(part.value, str) and speaks(part.value)
        for part in parts
    )


def labels_of(node):
    """Return the second of each pair in a list of choices."""
    pairs = node.elts if isinstance(node, ast.List | ast.Tuple) else []
    return [p.elts[1] for p in pairs if isinstance(p, ast.Tuple) and len(p.elts) == 2]


def shown_by(call):
    name = getattr(call.func, "attr", getattr(call.func, "id", ""))
    shown = [k.value for k in call.keywords if k.arg in SHOWN_KEYWORDS]
    shown += [label for k in call.keywords if k.arg == "choices" for label in labels_of(k.value)]
    return shown + (call.args[SAID_BY[name] :][:1] if name in SAID_BY else [])


def choice_labels(kind):
    """Return the labels in the body of a TextChoices or IntegerChoices class."""
    bases = {getattr(base, "attr", getattr(base, "id", "")) for base in kind.bases}
    if not bases & {"TextChoices", "IntegerChoices"}:
        return []
    values = [line.value for line in kind.body if isinstance(line, ast.Assign)]
    return [v.elts[-1] if isinstance(v, ast.Tuple) else v for v in values]


def said_in_python(source):
    shown = []
    for node in ast.walk(ast.parse(source)):
        shown += shown_by(node) if isinstance(node, ast.Call) else []
        shown += choice_labels(node) if isinstance(node, ast.ClassDef) else []
    return [f"line {node.lineno}: {ast.unparse(node)}" for node in shown if is_bare(node)]


SHOWN_BY_SCRIPT = re.compile(
    r"(?:textContent|innerText|innerHTML|ariaLabel|placeholder|\.title)\s*=\s*[^=;\n]*?"
    r"(?P<a>[\"'`])(?P<words>[^\"'`\n]*[A-Za-z]{2}[^\"'`\n]*)(?P=a)"
    r"|\b(?:alert|confirm|prompt)\(\s*[\"'`](?P<asked>[^\"'`\n]+)"
)
NAMES = re.compile(
    r"[a-z]+[A-Z]\w*|\{[a-z]+\}|\[?[a-z]+(?:[-=][a-z-]+)*\]?"
)  # slots, selectors, data names


def said_in_script(source):
    said = (found["words"] or found["asked"] for found in SHOWN_BY_SCRIPT.finditer(source))
    return [words for words in said if not NAMES.fullmatch(words)]


def test_templates_say_nothing_that_cannot_be_translated():
    assert faults_in(TEMPLATES, lambda path: said_in_template(path.read_text())) == {}


def test_code_says_nothing_that_cannot_be_translated():
    assert faults_in(SOURCES, lambda path: said_in_python(path.read_text())) == {}


def test_scripts_say_only_what_the_page_hands_them():
    assert faults_in(SCRIPTS, lambda path: said_in_script(path.read_text())) == {}


@pytest.mark.parametrize(
    ("planted", "found"),
    [
        ("<p>Weigh it</p>", ["Weigh it"]),
        ('<a title="Weigh it">{{ x }}</a>', ["Weigh it"]),
        ('<input placeholder="Weigh it">', ["Weigh it"]),
        ("{% if x %}Weigh it{% endif %}", ["Weigh it"]),
        ('<p>{% translate "Weigh it" %}</p>', []),
        ("<p>{% blocktranslate %}Weigh it{% endblocktranslate %}</p>", []),
        ('<p class="weigh it" data-x="weigh it">{{ weighed }} kg</p>', []),
        ("{# Weigh it #}<p>12</p>", []),
    ],
)
def test_finds_planted_words_in_templates(planted, found):
    assert said_in_template(planted) == found


@pytest.mark.parametrize(
    "planted",
    [
        'raise ValidationError("Weigh it.", code="x")',
        'raise refusal("x", f"Weigh {it}.")',
        'messages.success(request, "Weighed.")',
        'CharField(label="Mass", help_text=_("On the scale"))',
        'ChoiceField(choices=[("a", "Weigh it")])',
        'class Kind(models.TextChoices):\n    A = "a", "Weigh it"',
        'class Kind(models.TextChoices):\n    WEIGHED = "weighed"',
    ],
)
def test_finds_planted_words_in_code(planted):
    assert len(said_in_python(planted)) == 1


def test_lets_translated_words_in_code_pass():
    assert said_in_python('raise refusal("x", _("Weigh it."))\nCharField(label=_("Mass"))') == []


@pytest.mark.parametrize(
    ("planted", "found"),
    [
        ('box.textContent = "Weigh it";', ["Weigh it"]),
        ("box.textContent = x ? `Weigh it` : y;", ["Weigh it"]),
        ('alert("Weigh it")', ["Weigh it"]),
        ('box.textContent = box.dataset.say.replace("{number}", n);', []),
        ('count.querySelector("[data-slot=waiting]").textContent = words.say;', []),
    ],
)
def test_finds_planted_words_in_scripts(planted, found):
    assert said_in_script(planted) == found
