"""Forms of designs: adding, changing, withdrawing, and searching the list."""

from io import BytesIO

import django_filters
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.validators import MinValueValidator
from django.utils.translation import gettext_lazy as _
from PIL import Image

from inventory.forms.fields import ActForm, MassField, NumberField, SomeField
from inventory.forms.filters import choice_filter, polymer_filter, search_filter
from inventory.forms.photos import PhotoField
from inventory.models import Form, Polymer
from products.calculations.cut_plans import mm
from products.calculations.sheet_sizes import size_fields
from products.forms.lengths import LengthField, clean_size
from products.models import MAKES_PARTS, Design, Use

# What the form asks that is no plain field of a design; a photo is one only when a new one came.
NO_FIELDS = {"key", "happened_at", "polymers", "photo", "no_photo", "length_mm", "width_mm"}
MOST_LETTERS = 300  # of a public text, so that a passport prints on one A5
PHOTO_EDGE = 640
PHOTO_QUALITY = 80


def public_text(label, help_text="") -> forms.CharField:
    """Return the field of a text that stands in passports."""
    return forms.CharField(
        label=label,
        required=False,
        max_length=MOST_LETTERS,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=help_text,
    )


def workshop_text(label) -> forms.CharField:
    """Return the field of a text for the workshop."""
    widget = forms.Textarea(attrs={"rows": 2})
    return forms.CharField(label=label, required=False, max_length=MOST_LETTERS, widget=widget)


class DesignForm(ActForm):
    """What is made: masses are typed in kg, the thickness in mm."""

    refused_at = {"no-sheet": "length_mm"}

    name = forms.CharField(label=_("Name"), max_length=80)
    made_by = forms.ChoiceField(
        label=_("Made by"),
        choices=[(each, each.label) for each in MAKES_PARTS],
        widget=forms.RadioSelect,
    )
    form = forms.ChoiceField(
        label=_("It is a"),
        choices=[(each, each.label) for each in (Form.PART, Form.SHEET, Form.PROFILE)],
        widget=forms.RadioSelect,
        initial=Form.PART,
    )
    nominal_mass_mg = MassField(label=_("Mass of one piece"))
    tracked = forms.ChoiceField(
        label=_("Each code stands for"),
        choices=[
            (Design.Tracking.PIECE, _("one piece")),
            (Design.Tracking.BAG, _("a bag of them")),
        ],
        widget=forms.RadioSelect,
        initial=Design.Tracking.PIECE,
    )
    polymers = SomeField(
        label=_("Polymers allowed"),
        queryset=Polymer.objects.filter(is_rejected=False),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text=_("None ticked: every polymer that the machine may work."),
    )
    thickness_mm = NumberField(
        label=_("Thickness"),
        max_digits=6,
        decimal_places=2,
        required=False,
        validators=[MinValueValidator(0.01)],
    )
    length_mm = LengthField(
        label=_("Usual length of a sheet"),
        required=False,
        help_text=_(
            "Along the pattern, where there is one. With it, cut plans take it from stock."
        ),
    )
    width_mm = LengthField(label=_("Usual width of a sheet"), required=False)
    pieces_per_cycle = forms.IntegerField(
        label=_("Pieces made at once"), min_value=1, max_value=1000, initial=1
    )
    is_packaging = forms.BooleanField(
        label=_("It is packaging"),
        required=False,
        help_text=_("Packaging is numbered by 97/129/EC beside its mark."),
    )
    surface_mm2 = forms.IntegerField(
        label=_("Surface of one piece"), min_value=1, max_value=10**9, required=False
    )
    photo = PhotoField(
        label=_("Photo"),
        required=False,
        help_text=_("The public sees it: no people, no customer's place. JPEG, PNG or WebP."),
    )
    no_photo = forms.BooleanField(label=_("Take its photo away"), required=False)
    is_coated = forms.BooleanField(
        label=_("It is coated"),
        required=False,
        help_text=_("Paint, lacquer, print over its face or a laminate."),
    )
    has_inserts = forms.BooleanField(
        label=_("Metal is moulded in"),
        required=False,
        help_text=_("What is pressed or screwed in belongs into the parts list."),
    )
    uses = forms.MultipleChoiceField(
        label=_("Meant for"),
        choices=Use.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Such a use needs an approval that this record cannot give."),
    )
    care = public_text(_("Care"))
    repair = public_text(_("Repair"))
    spare_parts = public_text(_("Spare parts"))
    taking_apart = public_text(_("Taking it apart"))
    not_for = public_text(_("Not suitable for"), _("One use to a line."))
    life = workshop_text(_("Expected life"))
    inspection = workshop_text(_("Inspection"))
    note = forms.CharField(
        label=_("Note"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("For the workshop; the public does not see it."),
    )

    def clean(self):
        data = super().clean()
        if self.errors and data.get("photo"):  # browsers cannot send it back
            self.add_error("photo", _("The photo was fine, but is not kept yet; choose it again."))
        self.size = clean_size(self)
        return data

    def fields_of_design(self) -> dict:
        """Return the fields of the design that the valid form describes."""
        fields = {n: value for n, value in self.cleaned_data.items() if n not in NO_FIELDS}
        fields |= size_fields(self.size)
        photo = self.cleaned_data["photo"]
        if photo or self.cleaned_data["no_photo"]:
            fields["photo"] = smaller(photo) if photo else ""
        return fields


def smaller(photo: SimpleUploadedFile) -> SimpleUploadedFile:
    """Return a photo small enough for a public page."""
    picture, out = Image.open(photo), BytesIO()
    picture.thumbnail((PHOTO_EDGE, PHOTO_EDGE))
    picture.save(out, format="JPEG", quality=PHOTO_QUALITY)
    return SimpleUploadedFile(photo.name, out.getvalue(), content_type="image/jpeg")


def values_of(design: Design) -> dict:
    """Return a design as the first values of its form."""
    names = DesignForm.base_fields.keys() - NO_FIELDS
    values = {name: getattr(design, name) for name in names}
    if design.size:
        values |= {"length_mm": mm(design.length_um), "width_mm": mm(design.width_um)}
    return values | {"polymers": list(design.polymers.all())}


class DesignFilter(django_filters.FilterSet):
    """Search, filter and sort the list of designs."""

    q = search_filter(_("Name"))
    made_by = choice_filter(_("Made by"), [(each, each.label) for each in MAKES_PARTS])
    polymer = polymer_filter(field_name="polymers")
    offered = choice_filter(
        _("Offered"), [("yes", _("still made")), ("no", _("withdrawn"))], method="still_offered"
    )
    sort = django_filters.OrderingFilter(
        label=_("Sort by"),
        fields={"name": "name", "nominal_mass_mg": "mass", "in_stock": "stock", "in_use": "use"},
        choices=[
            ("-name", _("name, from the end")),
            ("-mass", _("heaviest first")),
            ("mass", _("lightest first")),
            ("-stock", _("most in stock first")),
            ("-use", _("most in use first")),
        ],
        empty_label=_("name"),
    )

    class Meta:
        model = Design
        fields = []

    def search(self, designs, name, text):
        """Keep the designs that are called so."""
        return designs.filter(name__icontains=text)

    def still_offered(self, designs, name, answer):
        """Keep the designs that are still made, or the withdrawn ones."""
        return designs.filter(withdrawn_at__isnull=answer == "yes")
