"""Forms of passports: issuing one, and issuing it anew with a reason."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm

FIGURES = {
    "mass": _("mass"),
    "passes": _("times melted"),
    "origin": _("origin"),
    "colour": _("colour"),
    "polymer": _("polymer"),
    "custody": _("chain of custody"),
    "holds": _("parts in it"),
}


class IssueForm(ActForm):
    """A passport is issued; a new version says why."""

    reason = forms.CharField(
        label=_("Why a new version"),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Stays in the book; the public does not see it."),
    )

    def __init__(self, *args, is_first: bool, **options):
        super().__init__(*args, **options)
        if is_first:
            del self.fields["reason"]


def changed_words(changed) -> str:
    """Return figures that a passport states otherwise in words."""
    return ", ".join(str(FIGURES[name]) for name in changed)
