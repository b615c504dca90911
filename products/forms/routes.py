"""The form of a route: what is done, line by line."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from products.actions.routes import LONGEST_NOTE, MOST_STEPS
from products.models import Design, Work


class RouteForm(ActForm):
    """A work and a note in each line; a line left empty is none."""

    def __init__(self, *args, design: Design, **options):
        super().__init__(*args, **options)
        lines = dict(enumerate(design.route, 1))
        for number in range(1, MOST_STEPS + 1):
            line = lines.get(number, {})
            self.fields[f"work-{number}"] = forms.ChoiceField(
                label=_("What is done"),
                required=False,
                choices=[("", "\N{EN DASH}"), *Work.choices],
                initial=line.get("work", ""),
            )
            self.fields[f"note-{number}"] = forms.CharField(
                label=_("Note"),
                required=False,
                max_length=LONGEST_NOTE,
                initial=line.get("note", ""),
            )

    def clean(self):
        data = super().clean()
        for number in range(1, MOST_STEPS + 1):
            if data.get(f"note-{number}") and not data.get(f"work-{number}"):
                sentence = ValidationError(_("Choose what is done."), code="half")
                self.add_error(f"work-{number}", sentence)
        return data

    def route(self) -> list[tuple[str, str]]:
        """Return the route that the valid form describes."""
        sent = self.cleaned_data
        lines = range(1, MOST_STEPS + 1)
        return [(sent[f"work-{n}"], sent[f"note-{n}"]) for n in lines if sent[f"work-{n}"]]

    def rows(self) -> list[dict]:
        """Return the boxes of each line."""
        return [
            {"number": number, "work": self[f"work-{number}"], "note": self[f"note-{number}"]}
            for number in range(1, MOST_STEPS + 1)
        ]
