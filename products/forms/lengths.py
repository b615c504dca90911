"""Boxes for lengths in mm and for how many there are, and rows of both."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from products.calculations.cut_plans import MOST_MM
from products.calculations.sheet_sizes import Size, size_mm

LEAST_MM = 1
PLACES = 3


class LengthField(forms.DecimalField):
    """A length in mm with a point or a comma, to the micrometre."""

    def __init__(self, least=LEAST_MM, most=MOST_MM, **options):
        sentence = _("Enter a number of mm from %(least)s to %(most)s.") % {
            "least": least,
            "most": most,
        }
        errors = dict.fromkeys(
            ("invalid", "min_value", "max_value", "max_decimal_places"), sentence
        )
        super().__init__(
            min_value=least,
            max_value=most,
            decimal_places=PLACES,
            widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            error_messages=errors,
            **options,
        )

    def to_python(self, value):
        if isinstance(value, str) and "." not in value and value.count(",") == 1:
            value = value.replace(",", ".")
        return super().to_python(value)


def count_field(most: int, **options) -> forms.IntegerField:
    """Return the field of how many there are."""
    return forms.IntegerField(
        min_value=1,
        max_value=most,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        **options,
    )


def clean_size(form: forms.Form, *, says: str = "") -> Size | None:
    """Return the size of the boxes length_mm and width_mm, None for two empty ones; half a one is refused."""
    sides = [form.cleaned_data.get(name) for name in ("length_mm", "width_mm")]
    if all(sides):
        return size_mm(*sides)
    for name, value in zip(("length_mm", "width_mm"), sides, strict=True):
        if any(sides) and not value and name not in form.errors:
            sentence = says or _("Enter this size too.")
            form.add_error(name, ValidationError(sentence, code="size"))
    return None
