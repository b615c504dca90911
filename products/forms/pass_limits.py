"""The form of a design's limit of melt passes."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from products.calculations.pass_limits import MOST_PERCENT, MOST_TIMES, PassLimit
from products.models import Design


def whole_field(label, least: int, most: int, help_text) -> forms.IntegerField:
    """Return the box of a whole number that may stay empty."""
    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=most,
        required=False,
        widget=widget,
        help_text=help_text,
    )


class PassLimitForm(ActForm):
    """Two boxes; both empty is no limit."""

    most_percent = whole_field(
        _("At most"), 0, MOST_PERCENT, _("Share of a charge by mass, in whole per cent.")
    )
    times = whole_field(
        _("Melted so many times or more"),
        1,
        MOST_TIMES,
        _("Counted before it is loaded; the run itself adds one."),
    )

    def __init__(self, *args, design: Design, **options):
        super().__init__(*args, **options)
        if limit := design.pass_limit:
            self.initial = vars(limit) | self.initial

    def clean(self):
        data = super().clean()
        missing = [name for name in ("most_percent", "times") if data.get(name) is None]
        if len(missing) == 1 and not self.errors:
            sentence = _("Fill in both boxes, or leave both empty for no limit.")
            self.add_error(missing[0], ValidationError(sentence, code="half"))
        return data

    def limit(self) -> PassLimit | None:
        """Return the limit that the valid form describes."""
        times, most_percent = self.cleaned_data["times"], self.cleaned_data["most_percent"]
        return None if times is None else PassLimit(times, most_percent)
