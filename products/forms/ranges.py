"""The sentences in which figures outside their usual range are said."""

from django.utils.translation import gettext_lazy as _

from inventory.queries.masses import mass_said
from products.calculations.ranges import RangeNote

SENTENCES = {
    "sheet-thickness": _(
        "Pressed sheets are usually %(low)s to %(high)s mm thick (common practice); this one is %(value)s mm."
    ),
    "shot-time": _(
        "A shot usually takes a couple of minutes (common practice); here it took %(value)s minutes on average."
    ),
    "piece-mass": _(
        "Each piece weighs %(value)s, more than 20\u00a0%% off the design's mass; check the count and the scale."
    ),
}


def sentence_of(note: RangeNote) -> str:
    """Return a range note as a sentence for the operator."""
    written = {"low": f"{note.low:g}", "high": f"{note.high:g}", "value": f"{note.value:.3g}"}
    if note.code == "piece-mass":
        written = {"value": mass_said(round(note.value))}
    return SENTENCES[note.code] % written
