"""Fields and form bases that every acting page shares."""

from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act
from inventory.calculations.masses import MG_PER_UNIT, parse_mass
from inventory.models import Colour, Mass, Scale
from inventory.queries.bins import bin_named
from inventory.queries.codes import void_note
from inventory.queries.masses import in_units, mass_units, typed_mass, unit_here
from inventory.queries.materials import polymer_named

LONGEST_FIGURE = 40

NET, GROSS = "net", "gross"
MASS_ERRORS = {
    "not-a-number": _("Enter a mass such as 2.5."),
    "too-fine": _("Enter no more than whole milligrams."),
    "not-positive": _("Enter a mass above zero."),
    "too-large": _("Enter a mass below 100 tonnes."),
    "no-unit": _("The workshop weighs in other units since; write the unit behind the mass."),
}


class MassField(forms.CharField):
    """A mass typed in kg or g (in lb or oz in such a workshop) or with its own unit, cleaned to whole mg."""

    names_unit = False  # whether a bare number is refused

    def __init__(self, *, unit: str = "kg", **options):
        self.unit = unit
        options.setdefault("max_length", 20)
        super().__init__(**options)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}

    @property
    def unit_shown(self) -> str:
        """Return the unit in which a bare number is meant."""
        return unit_here(self.unit)

    def get_bound_field(self, form, field_name):
        """Tell the page's scripts in which unit a bare number is meant."""
        self.widget.attrs["data-unit"] = self.unit_shown
        return super().get_bound_field(form, field_name)

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        if self.names_unit and not any(letter.isalpha() for letter in text):
            raise ValidationError(MASS_ERRORS["no-unit"], code="no-unit")
        try:
            return parse_mass(text, self.unit_shown)
        except ValueError as error:
            code = error.args[0]
            raise ValidationError(
                MASS_ERRORS.get(code, MASS_ERRORS["not-a-number"]), code=code
            ) from None

    def prepare_value(self, value):
        if isinstance(value, int):
            return typed_mass(value, self.unit_shown)
        return value


class ShownField(MassField):
    """What a scale shows; nothing at all is a reading too."""

    def clean(self, value):
        try:
            return super().clean(value)
        except ValidationError as refusal:
            text = str(value).strip()
            is_zero = not any(sign in text for sign in "123456789-\u2212")
            if getattr(refusal, "code", "") == "not-positive" and is_zero:
                return 0
            raise


def with_point(text: str) -> str:
    """Return a typed number with a point for a comma and a hyphen for a minus, for Python to read."""
    text = text.strip().replace("\N{MINUS SIGN}", "-")
    return text.replace(",", ".") if text.count(",") == 1 and "." not in text else text


class FigureField(forms.FloatField):
    """A number for a formula, typed with a point or a comma, whatever the keypad of the tablet has."""

    def to_python(self, value):
        if isinstance(value, str):
            if len(value.strip()) > LONGEST_FIGURE or "_" in value:  # Python takes 1_0 for ten
                raise ValidationError(self.error_messages["invalid"], code="invalid")
            value = with_point(value)
        return super().to_python(value)


class NumberField(forms.DecimalField):
    """A number typed with a point or a comma, whatever the keypad of the tablet has."""

    def __init__(self, **options):
        super().__init__(**{"max_digits": 8, "decimal_places": 2} | options)
        self.widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def to_python(self, value):
        return super().to_python(with_point(value) if isinstance(value, str) else value)

    def prepare_value(self, value):
        return f"{value.normalize():f}" if hasattr(value, "normalize") else value


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


class UnitField(forms.ChoiceField):
    """The unit of a bare number; one that is offered no more, as an old entry may bring, says nothing."""

    def clean(self, value):
        return super().clean(value if value in dict(self.choices) else "")


def unit_field() -> UnitField:
    """Return the choice of the unit in which bare numbers of a form are meant."""
    return UnitField(label=_("Unit"), choices=mass_units, required=False, widget=forms.RadioSelect)


def mean_in_unit(form: forms.Form, *names: str) -> None:
    """Let masses of a form be meant in the unit that is chosen in it; an unknown one has to be named."""
    unit = form["unit"].value()
    for field in (form.fields[name] for name in names):
        if unit in dict(mass_units()):
            field.unit = unit
        else:
            field.names_unit = bool(unit)


class WeighedForm(ActForm):
    """An act with one weighed mass: net, or gross with a tare to take off, in the unit chosen.

    A form sent without the way of weighing takes the tare off when there is one.
    """

    way_name = "weighed"  # under which the way chosen last is remembered

    way = forms.ChoiceField(
        label=_("How it is weighed"),
        choices=[(NET, _("net")), (GROSS, _("gross less tare"))],
        required=False,
        widget=forms.RadioSelect,
    )
    unit = unit_field()
    mass = MassField(label=_("Mass"), help_text=in_units(_("%(unit)s on the scale")))
    tare = MassField(
        label=_("Tare to take off"), required=False, help_text=in_units(_("%(unit)s, if gross"))
    )
    scale = forms.ModelChoiceField(
        label=_("Scale"),
        queryset=Scale.objects.filter(is_in_use=True),
        required=False,
        empty_label=_("typed, no scale"),
    )

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        mean_in_unit(self, "mass", "tare")

    def way_chosen(self) -> str:
        """Return how the mass was weighed."""
        default = GROSS if self.cleaned_data.get("tare") else NET
        return self.cleaned_data.get("way") or default

    def tare_mg(self) -> int:
        """Return what is to be taken off."""
        return 0 if self.way_chosen() == NET else self.cleaned_data.get("tare") or 0

    def clean(self):
        data = super().clean()
        if data.get("way") == GROSS and not data.get("tare") and "tare" not in self.errors:
            sentence = _("Enter the tare to take off, or say that the mass is net.")
            self.add_error("tare", ValidationError(sentence, code="no-tare"))
        elif data.get("mass") and not self.leaves_something(data["mass"], self.tare_mg()):
            self.add_error("tare", _("The tare is not below the gross mass; weigh again."))
        return data

    def leaves_something(self, gross_mg: int, tare_mg: int) -> bool:
        """Return whether the tare is below the gross mass."""
        return gross_mg > tare_mg

    def ask_of_short(self, most_mg: int) -> None:
        """Ask whether grams were meant where there is not so much (`short`), and as grams it would fit."""
        if self.has_error("mass", "short"):
            self.ask_of_unit(most_mg)

    def ask_of_unit(self, most_mg: int) -> None:
        """Ask whether the small unit was meant where a mass in the large one is refused and would fit in it."""
        large, small = (unit for unit, _name in mass_units())
        typed = str(self["mass"].value())
        if self.fields["mass"].unit_shown != large or any(letter.isalpha() for letter in typed):
            return
        net_mg = (
            parse_mass(typed, small) - self.tare_mg() * MG_PER_UNIT[small] // MG_PER_UNIT[large]
        )
        if 0 < net_mg <= most_mg:
            sentence = _("%(typed)s %(large)s? In %(small)s it would fit: choose %(small)s.")
            facts = {"typed": typed, "large": large, "small": small}
            self.add_error("mass", ValidationError(sentence, code="unit", params=facts))

    def weighed(self, *, count: int = 1) -> Mass | None:
        """Return the mass with its basis, or None when none was entered."""
        gross_mg, tare_mg = self.cleaned_data.get("mass"), self.tare_mg()
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
        self.widget.attrs["data-scan-into"] = "bin"

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


class SomeField(forms.ModelMultipleChoiceField):
    """Some things by their primary keys; a key that no database could hold is none of the choices."""

    longest_key = 18  # digits

    def clean(self, value):
        for key in value if isinstance(value, list | tuple) else ():
            if len(str(key)) > self.longest_key:
                sentence = self.error_messages["invalid_choice"]
                raise ValidationError(
                    sentence, code="invalid_choice", params={"value": str(key)[:20]}
                )
        return super().clean(value)


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
