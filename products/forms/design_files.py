"""The form that brings a design from a file."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ActForm
from products.calculations.design_files import MOST_BYTES
from products.queries.design_files import DesignFile, read_file


class DesignFileForm(ActForm):
    """A file, or the text of the one that was sent before, and a name if its own is taken."""

    file = forms.FileField(
        label=_("The file"),
        required=False,
        help_text=_("The file of a design, as the page of a design gives it. JSON."),
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
    )
    document = forms.CharField(
        required=False, widget=forms.HiddenInput, strip=False, max_length=MOST_BYTES
    )
    name = forms.CharField(
        label=_("Call it"),
        max_length=80,
        required=False,
        help_text=_("Empty: as the file calls it. A design of the same name stays as it is."),
    )

    def clean(self):
        data = super().clean()
        upload = data.get("file")
        if not self.errors and not upload and not data.get("document"):
            self.add_error("file", ValidationError(_("Choose a file."), code="required"))
        self.read = DesignFile({}, [])
        if not self.errors:
            self.read = read_file(upload.read(MOST_BYTES + 1) if upload else data["document"])
        if self.read.faults:
            sentence = _("This file cannot be brought in; the list says where it is wrong.")
            self.add_error("file", ValidationError(sentence, code="file"))
        return data
