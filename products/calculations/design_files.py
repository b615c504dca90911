"""The file of a design: an open JSON format of our own, its schema, and what breaks it.

The schema is JSON Schema 2020-12. `format` names the version; a later version gets a new name
and a new schema, and files of this one stay readable. Masses are whole milligrams, other
figures are decimal numbers written as text, with their unit in the name or by the quantity.

Version 2 adds the usual size of a sheet, version 3 the process sheets.
"""

from collections.abc import Iterator

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from products.calculations.file_schemas import (
    LINE,
    FileFault,
    decimal,
    length,
    many,
    one_of,
    or_null,
    pointer_to,
    record,
    text,
    whole,
)
from products.calculations.foreign_sheets import SHEETS
from products.calculations.quantities import QUANTITIES
from products.calculations.sentences import Sentence

FORMAT = "design-3"
MOST_BYTES = 200_000
MOST_FAULTS = 20
MOST_MG = 10**14
TEXTS = ("care", "repair", "spare_parts", "taking_apart", "not_for", "life", "inspection")
WORKS = ("granulate", "blend", "press", "inject", "extrude", "cut", "form")
HANDS = ("wash", "finish", "assemble")
BY_KEYWORD = {
    "additionalProperties": "file-no-field",
    "const": "file-format",
    "enum": "file-choice",
    "maxItems": "file-too-many",
    "maxLength": "file-too-long",
    "minLength": "file-empty",
    "pattern": "file-text",
    "minimum": "file-figure",
    "maximum": "file-figure",
    "required": "file-missing",
    "type": "file-kind",
}

NO_JSON = Sentence("file-no-json")
TOO_DEEP = Sentence("file-too-deep")
TOO_LARGE = Sentence("file-too-large", most=str(MOST_BYTES // 1000))
UNKNOWN_POLYMER = Sentence("file-unknown-polymer")
REJECTED_POLYMER = Sentence("file-rejected-polymer")
UNKNOWN_DESIGN = Sentence("file-unknown-design")
OTHER_POLYMER = Sentence("file-other-polymer")


ITEM = record(
    ("count",),
    count=whole(1, 1000),
    design=or_null(text(80, LINE, 1)),
    bought=one_of("", "screw", "insert", "glue", "other"),
    bought_name=text(60, LINE),
)
JOINT = record(
    ("kind", "first_line", "second_line"),
    kind=one_of("interlock", "press-fit", "screw", "glue", "weld"),
    first_line=whole(0, 12),
    second_line=whole(0, 12),
    tool=text(60, LINE),
    minutes=decimal(3, 1),
)
WINDOW = record(
    ("quantity",),
    quantity=one_of(*QUANTITIES),
    low={"anyOf": [{"type": "null"}, decimal(6, 2, "-?")]},
    high={"anyOf": [{"type": "null"}, decimal(6, 2, "-?")]},
)
SIZE = record(("length", "width"), length=length(), width=length())
HEAD = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "A design of a plastics workshop",
    "description": "What is made: mass in whole mg, polymers as ISO 1043-1 writes them, how it is "
    "made and put together. Line 0 of a joint is the piece itself.",
}
FIELDS = dict(
    schema=text(300, LINE),
    name=text(80, LINE, 1),
    form=one_of("part", "sheet", "profile"),
    made_by=one_of(*WORKS[2:]),
    tracked=one_of("piece", "bag"),
    nominal_mass_mg=whole(1, MOST_MG),
    polymers=many(40, text(40, LINE, 1)),
    thickness_mm={"anyOf": [{"type": "null"}, decimal(4, 2)]},
    pieces_per_cycle=whole(1, 1000),
    is_packaging={"type": "boolean"},
    surface_mm2=or_null(whole(1, 10**9)),
    is_coated={"type": "boolean"},
    has_inserts={"type": "boolean"},
    uses=many(5, one_of("food", "toys", "mains", "load", "fire")),
    note=text(2000),
    **dict.fromkeys(TEXTS, text(300)),
    windows=many(30, WINDOW),
    pass_limit=or_null(
        record(("times", "most_percent"), times=whole(1, 9), most_percent=whole(0, 99))
    ),
    route=many(12, record(("work",), work=one_of(*WORKS, *HANDS), note=text(120, LINE))),
    items=many(12, ITEM),
    joints=many(12, JOINT),
)
# In version 2 a sheet may have a usual size; what is no sheet has none.
SIZED = {"size_mm": or_null(SIZE)}
ONLY_SHEETS = {
    "if": {"properties": {"form": {"const": "sheet"}}, "required": ["form"]},
    "else": {"properties": {"size_mm": {"type": "null"}}},
}


def schema_of(version: str, more: dict, rules: dict) -> dict:
    """Return the schema of a version, with the fields and rules that it adds to the first."""
    needed = ("format", "name", "made_by", "nominal_mass_mg")
    return HEAD | record(needed, format={"const": version}, **FIELDS, **more) | rules


# In version 3 it may bring settings that worked, by polymer and kind of machine.
TAUGHT = SIZED | {"process_sheets": SHEETS}
SCHEMAS = {
    "design-1": schema_of("design-1", {}, {}),
    "design-2": schema_of("design-2", SIZED, ONLY_SHEETS),
    "design-3": schema_of("design-3", TAUGHT, ONLY_SHEETS),
}
SCHEMA = SCHEMAS[FORMAT]


def faults_in(document) -> list[FileFault]:
    """Return what breaks the schema in a parsed document, the first few, in the order of pointers.

    >>> [(each.pointer, str(each.sentence)) for each in faults_in({"format": "design-9"})][:1]
    [('/format', 'These versions of a file are read here: design-1, design-2, design-3.')]
    """
    try:
        found = [each for error in _errors(document) for each in _faults(error)]
    except RecursionError:
        return [FileFault("", TOO_DEEP)]
    once = dict.fromkeys(found)
    return sorted(once, key=lambda fault: fault.pointer)[:MOST_FAULTS]


def schema_for(document) -> dict:
    """Return the schema of the version that a document says it is of, or that of the newest."""
    said = document.get("format") if isinstance(document, dict) else None
    return SCHEMAS.get(said, SCHEMA) if isinstance(said, str) else SCHEMA


def _errors(document) -> Iterator[ValidationError]:
    errors = Draft202012Validator(schema_for(document)).iter_errors(document)
    for _number, error in zip(range(MOST_FAULTS * 2), errors, strict=False):
        yield error


def _faults(error: ValidationError) -> Iterator[FileFault]:
    place = pointer_to(error.absolute_path)
    if error.validator == "required":
        missing = [name for name in error.validator_value if name not in error.instance]
        for name in missing:
            yield FileFault(f"{place}/{name}", Sentence("file-missing"))
    elif error.validator == "additionalProperties":
        known = error.schema["properties"]
        for name in [name for name in error.instance if name not in known][:MOST_FAULTS]:
            yield FileFault(pointer_to([*error.absolute_path, name]), Sentence("file-no-field"))
    else:
        yield FileFault(place, _said(error))


def _said(error: ValidationError) -> Sentence:
    code = BY_KEYWORD.get(error.validator, "file-wrong")
    facts = {
        "const": {"found": ", ".join(SCHEMAS)},
        "enum": {"choices": ", ".join(filter(None, error.validator_value or ()))}
        if error.validator == "enum"
        else {},
        "maxItems": {"most": str(error.validator_value)},
        "maxLength": {"most": str(error.validator_value)},
    }
    return Sentence(code, **facts.get(error.validator, {}))
