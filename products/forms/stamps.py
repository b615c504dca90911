"""The stamp that marks a mould: what is cut into it, and how large."""

from dataclasses import dataclass
from datetime import date

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import FigureField
from products.calculations.glyphs import GlyphError
from products.calculations.marks import MarkError
from products.calculations.resin_codes import packaging_code, resin_code
from products.calculations.stamps import (
    Polyline,
    ResinStamp,
    stamp_lines,
    stamp_polylines,
    stamp_warnings,
)
from products.calculations.triangles import LEAST_SIZE_MM
from products.queries.marks import symbol_of
from products.queries.sentences import said

NO_TRIANGLE, ASTM, EUROPE = "", "astm", "europe"


@dataclass(frozen=True)
class Stamp:
    """A stamp to cut: its lines of text, strokes in mm, and what makes it hard to read."""

    lines: tuple[str, ...]
    polylines: list[Polyline]
    warnings: tuple[str, ...]


class StampForm(forms.Form):
    """What a stamp says, typed; letters are measured by their capitals."""

    mark = forms.CharField(
        label=_("Mark"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    month = forms.DateField(
        label=_("Month"),
        required=False,
        widget=forms.DateInput(attrs={"type": "month"}, format="%Y-%m"),
        input_formats=["%Y-%m", "%Y-%m-%d"],
    )
    workshop = forms.CharField(label=_("Workshop"), max_length=40, required=False)
    tool = forms.CharField(label=_("Tool"), max_length=40, required=False)
    cavity = forms.IntegerField(label=_("Cavity"), min_value=1, max_value=999, required=False)
    height = FigureField(
        label=_("Height of a capital"),
        min_value=0.5,
        max_value=50,
        initial=3,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    resin = forms.ChoiceField(
        label=_("Triangle"),
        choices=[
            (NO_TRIANGLE, _("none")),
            (ASTM, "ASTM D7611"),
            (EUROPE, "97/129/EC"),
        ],
        required=False,
        widget=forms.RadioSelect,
    )
    size = FigureField(
        label=_("Side of the triangle"),
        min_value=1,
        max_value=100,
        initial=LEAST_SIZE_MM,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    readable = forms.BooleanField(label=_("As it reads on the part"), required=False)

    def clean(self):
        data = super().clean()
        if not self.errors:
            self.stamp = self.drawn(data)
        return data

    def drawn(self, data: dict) -> Stamp | None:
        """Return the stamp of valid fields, or None with the reason put onto its field."""
        day: date | None = data["month"]
        words = {name: data[name] for name in ("mark", "workshop", "tool", "cavity")}
        try:
            lines = stamp_lines(made_on=day, **words)
            resin = self.triangle(data)
            strokes = stamp_polylines(
                lines, data["height"], mirrored=not data["readable"], resin=resin
            )
        except MarkError as error:
            self.add_error("mark", ValidationError(said(error.sentence), code=error.code))
        except GlyphError as error:
            self.add_error(None, ValidationError(str(error), code=error.code))
        except ValueError as error:
            self.add_error("resin", ValidationError(str(error), code="resin"))
        else:
            warnings = tuple(map(said, stamp_warnings(data["height"], resin)))
            return Stamp(lines, strokes, warnings)
        return None

    def triangle(self, data: dict) -> ResinStamp | None:
        """Return the resin code to cut beside the text, if one is wanted."""
        if data["resin"] == NO_TRIANGLE:
            return None
        codes = {ASTM: resin_code, EUROPE: packaging_code}
        code = codes[data["resin"]](symbol_of(data["mark"]))
        return ResinStamp(code.number, code.text, data["size"] or LEAST_SIZE_MM)


class TriangleForm(forms.Form):
    """A resin code to draw, its size in mm."""

    number = forms.IntegerField(min_value=1, max_value=7)
    text = forms.CharField(max_length=20)
    size = FigureField(min_value=1, max_value=200, required=False)
