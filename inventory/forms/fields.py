"""Fields and form bases that every acting page shares."""

from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act
from inventory.calculations.masses import format_mass, parse_mass
from inventory.models import Colour, Mass, Scale
from inventory.queries.bins import bin_named
from inventory.queries.codes import void_note
from inventory.queries.materials import polymer_named

MASS_ERRORS = {
    "not-a-number": _("Enter a mass such as 2.5."),
    "too-fine": _("Enter no more than whole milligrams."),
    "not-positive": _("Enter a mass above zero."),
    "too-large": _("Enter a mass below 100 tonnes."),
}


class MassField(forms.CharField):
    """A mass typed in kg (or with its own unit), cleaned to whole milligrams."""

    def __init__(self, *, unit: str = "kg", **options):
        self.unit = unit
        options.setdefault("max_length", 20)
        super().__init__(**options)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off", "data-unit": unit}

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_mass(text, self.unit)
        except ValueError as error:
            code = error.args[0]
            raise ValidationError(
                MASS_ERRORS.get(code, MASS_ERRORS["not-a-number"]), code=code
            ) from None

    def prepare_value(self, value):
        if isinstance(value, int):
            return format_mass(value, self.unit).removesuffix(self.unit).strip()
        return value


class ActForm(forms.Form):
    """A form that becomes an act: it carries the client's id, a time and a reason."""

    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    happened_at = forms.DateTimeField(
        label=_("When, if not just now"),
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )

    def clean(self):
        data = super().clean()
        scanned = [name for name in data if data[name] and name in self.scanned()]
        for name in scanned:
            if note := void_note(self.data[self.add_prefix(name)], data.get("key")):
                self.add_error(name, ValidationError(note, code="void-label"))
        return data

    def scanned(self) -> list[str]:
        """Return the fields into which a label is scanned."""
        return [name for name, field in self.fields.items() if isinstance(field, BinField)]

    def act(self, by) -> Act:
        """Return the act that the valid form describes."""
        return Act(
            key=self.cleaned_data["key"],
            by=by,
            happened_at=self.cleaned_data.get("happened_at"),
            reason=self.cleaned_data.get("reason") or "",
        )


class ReasonForm(ActForm):
    """An act that needs nothing but a reason."""

    reason = forms.CharField(
        label=_("Why"), max_length=300, widget=forms.Textarea(attrs={"rows": 2})
    )


class WeighedForm(ActForm):
    """An act with one weighed mass: net, or gross with a tare to take off."""

    mass = MassField(label=_("Mass"), help_text=_("kg on the scale"))
    tare = MassField(label=_("Tare to take off"), required=False, help_text=_("kg, if gross"))
    scale = forms.ModelChoiceField(
        label=_("Scale"),
        queryset=Scale.objects.filter(is_in_use=True),
        required=False,
        empty_label=_("typed, no scale"),
    )

    def clean(self):
        data = super().clean()
        gross_mg, tare_mg = data.get("mass"), data.get("tare")
        if gross_mg and tare_mg and tare_mg >= gross_mg:
            self.add_error("tare", _("The tare is not below the gross mass; weigh again."))
        return data

    def weighed(self, *, count: int = 1) -> Mass | None:
        """Return the mass with its basis, or None when none was entered."""
        gross_mg, tare_mg = self.cleaned_data.get("mass"), self.cleaned_data.get("tare") or 0
        if gross_mg is None:
            return None
        readings = 2 if tare_mg else 1
        net_mg = (gross_mg - tare_mg) * count
        return Mass.weighed(net_mg, self.cleaned_data.get("scale"), readings=readings, count=count)


class PolymerField(forms.CharField):
    """A polymer typed as its symbol or a trade spelling, cleaned to the polymer."""

    def __init__(self, **options):
        options.setdefault("max_length", 60)
        super().__init__(**options)
        self.widget.attrs |= {"list": "polymer-names", "autocomplete": "off", "spellcheck": "false"}

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        if polymer := polymer_named(text):
            return polymer
        raise ValidationError(
            _("No polymer is called %(text)s; choose one from the list or say unknown."),
            code="no-polymer",
            params={"text": text},
        )


class BinField(forms.CharField):
    """A bin typed by its name or scanned by its code, cleaned to the bin."""

    def __init__(self, **options):
        options.setdefault("max_length", 200)
        super().__init__(**options)
        self.widget.attrs |= {"list": "bin-names", "autocomplete": "off", "spellcheck": "false"}

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        if bin := bin_named(text):
            return bin
        raise ValidationError(
            _("No bin is called %(text)s; type its name or scan its code."),
            code="no-bin",
            params={"text": text},
        )


class ColourField(forms.ModelChoiceField):
    """A colour chosen by its swatch."""

    widget = forms.RadioSelect

    def __init__(self, **options):
        options.setdefault("queryset", Colour.objects.all())
        options.setdefault("to_field_name", "name")
        super().__init__(**options, empty_label=None)

    def label_from_instance(self, colour):
        facts = {"name": colour.name, "srgb": colour.srgb}
        return mark_safe(render_to_string("components/swatch.html", facts))  # noqa: S308 (escaped)


class SpellingMixin:
    """A form with a polymer field, which says how a trade spelling is written."""

    spelling_note = ""

    def clean(self):
        data = super().clean()
        polymer = data.get("polymer")
        typed = (self.data.get(self.add_prefix("polymer")) or "").strip()
        if polymer and typed != polymer.symbol:
            sentence = gettext("%(typed)s is written %(symbol)s.")
            self.spelling_note = sentence % {"typed": typed, "symbol": polymer.symbol}
            self.data = self.data.copy()
            self.data[self.add_prefix("polymer")] = polymer.symbol
        return data
