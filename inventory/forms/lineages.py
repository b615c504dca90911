"""Bringing in a document of another workshop: choosing the file, then receiving its lot."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.actions.deliveries import Receipt
from inventory.calculations.epcis_reading import MOST_BYTES
from inventory.forms.deliveries import DeliveryForm
from inventory.models import Colour, Form, Identification, OriginClass
from inventory.queries.lineages import Brought, kept_text, short_id
from inventory.queries.materials import polymer_named

LONGEST_ID = 300
LONGEST_SUPPLIER_LOT = 60


class DocumentField(forms.CharField):
    """The text of a document, carried from step to step."""

    def __init__(self, **options):
        super().__init__(widget=forms.HiddenInput, strip=False, max_length=MOST_BYTES, **options)


class UploadForm(forms.Form):
    """A file, or the document that was sent before with another lot of it."""

    file = forms.FileField(
        label=_("Their file"),
        required=False,
        help_text=_("EPCIS 2.0 as JSON-LD: the trace back of the lot that you receive."),
        widget=forms.FileInput(attrs={"accept": ".jsonld,.json,application/ld+json"}),
    )
    document = DocumentField(required=False)
    lot = forms.CharField(required=False, max_length=LONGEST_ID, widget=forms.HiddenInput)

    def clean_file(self):
        upload = self.cleaned_data["file"]
        if upload and upload.size > MOST_BYTES:
            raise ValidationError(_("The file is too large; ask for the trace of one lot."))
        return upload

    def clean(self):
        data = super().clean()
        if not self.errors and not data["file"] and not data["document"]:
            self.add_error("file", _("Choose the file that came with the delivery."))
        return data

    def text(self) -> bytes | str:
        """Return what was sent."""
        data = self.cleaned_data
        return data["file"].read() if data["file"] else data["document"]


class LineageForm(DeliveryForm):
    """One receipt of a foreign lot; where it counts as coming from stands in its document."""

    origin_class = photo = reason = None
    document = DocumentField()
    lot = forms.CharField(max_length=LONGEST_ID, widget=forms.HiddenInput)

    def receipt(self) -> Receipt:
        """Return what was read off the scale and the papers."""
        data = self.cleaned_data | {"photo": None, "origin_class": OriginClass.UNKNOWN}
        masses = {f"{name}_mg": data[name] for name in ("net", "gross", "tare")}
        names = Receipt.__dataclass_fields__.keys() - masses.keys()
        return Receipt(**masses, **{name: data[name] for name in names})


def first_guess(brought: Brought) -> dict:
    """Return with what the receipt of a foreign lot starts: what the document says, where it is known here."""
    told, lot = brought.lineage.material, brought.lineage.lot
    polymer = polymer_named(told["polymer"]) if told["polymer"] else None
    colour = Colour.objects.filter(name__iexact=told["colour"]).first()
    return {
        "document": kept_text(brought.document),
        "lot": lot,
        "polymer": polymer.symbol if polymer else "",
        "identified_by": Identification.STATEMENT if polymer else Identification.UNKNOWN,
        "colour": colour,
        "form": told["form"] if told["form"] in Form.values else None,
        "supplier_lot": short_id(lot)[:LONGEST_SUPPLIER_LOT],
    }
