"""The one form of every calculator: boxes from its declaration, the answer from its formulas."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import FigureField
from products.calculations.calculators import BASES, Calculator, Impossible, Input
from workshop.queries.calculators import Filled, PolymerFacts, given_said, trimmed

LONGEST_TEXT = 2000


class WholeField(FigureField):
    """A whole number."""

    def to_python(self, value):
        number = super().to_python(value)
        if number is not None and not number.is_integer():
            raise ValidationError(self.error_messages["invalid"], code="invalid")
        return number


def number_field(asked: Input) -> forms.FloatField:
    """Return the field of a number within the range of its declaration."""
    ends = {"least": given_said(asked, asked.least), "most": given_said(asked, asked.most)}
    sentence = _("Enter a number from %(least)s to %(most)s.") % ends
    if asked.kind == "whole":
        sentence = _("Enter a whole number from %(least)s to %(most)s.") % ends
    kind = WholeField if asked.kind == "whole" else FigureField
    beyond = str(sentence).replace("%", "%%")  # what a validator says is a template
    return kind(
        min_value=asked.least,
        max_value=asked.most,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={
            "invalid": sentence,
            "required": sentence,
            "min_value": beyond,
            "max_value": beyond,
        },
    )


def text_field(_asked: Input) -> forms.CharField:
    """Return the field of a text that the formulas read."""
    return forms.CharField(
        max_length=LONGEST_TEXT,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": _("Enter what is asked here.")},
    )


def choice_field(asked: Input) -> forms.ChoiceField:
    """Return the field of a few words to choose from."""
    return forms.ChoiceField(
        choices=[(value, gettext(label)) for value, label in asked.choices],
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), _("Choose one of these.")),
    )


def polymer_field(symbols: list[str]) -> forms.ChoiceField:
    """Return the field of a polymer; without one every figure is typed."""
    return forms.ChoiceField(
        choices=[("", _("none: I type the figures")), *((each, each) for each in symbols)],
        error_messages={"invalid_choice": _("Choose a polymer of the list.")},
    )


class CalculatorForm(forms.Form):
    """What a calculator is asked; valid, it has the answer."""

    def __init__(self, calculator: Calculator, polymers: dict[str, PolymerFacts], data=None):
        sent = None if data is None else calculator.defaults | {k: data[k] for k in data}
        super().__init__(sent, initial=calculator.defaults)
        self.calculator, self.polymers = calculator, polymers
        self.filled, self.answer = {}, None
        for asked in calculator.inputs:
            self.fields[asked.name] = self.field_of(asked)

    def field_of(self, asked: Input) -> forms.Field:
        """Return the field of a box, with its label, help and what it takes when left empty."""
        makers = {"choice": choice_field, "text": text_field}
        if asked.kind == "polymer":
            field = polymer_field(self.symbols())
        else:
            field = makers.get(asked.kind, number_field)(asked)
        field.label, field.help_text = gettext(asked.label), help_of(asked)
        field.required = not asked.is_optional and not asked.filled_by
        figure = self.figure_for(asked, self.chosen(asked.polymer))
        if figure:
            field.widget.attrs["placeholder"] = trimmed(figure.value, "", 6)
        return field

    def symbols(self) -> list[str]:
        """Return the polymers to choose from: what is refused here is not offered for heating."""
        facts = self.polymers.values()
        return [f.symbol for f in facts if not (f.is_rejected and self.calculator.is_heated)]

    def chosen(self, name: str) -> str:
        """Return the symbol in a box, sent or shown at first."""
        return str((self.data if self.is_bound else self.initial).get(name, ""))

    def figure_for(self, asked: Input, symbol: str):
        """Return the polymer's figure that an empty box takes, or None."""
        facts = self.polymers.get(symbol)
        return facts.figures.get(asked.filled_by) if facts and asked.filled_by else None

    def clean(self):
        data = super().clean()
        for asked in self.calculator.inputs:
            if asked.filled_by and asked.name not in self.errors and data[asked.name] is None:
                self.fill(asked, data)
        if not self.errors:
            self.work_out(data)
        return data

    def fill(self, asked: Input, data: dict):
        """Put the polymer's figure into an empty box, or ask for one where there is none."""
        symbol = data.get(asked.polymer) or ""
        figure = self.figure_for(asked, symbol)
        if figure:
            data[asked.name] = figure.value
            self.filled[asked.name] = Filled(symbol, figure)
        elif not asked.is_optional and asked.polymer not in self.errors:
            sentence = _("Type this figure: no polymer is chosen, or nothing is known of it here.")
            self.add_error(asked.name, ValidationError(sentence, code="no-figure"))

    def work_out(self, data: dict):
        """Ask the formulas; what no answer can follow from goes onto its box."""
        try:
            self.answer = self.calculator.answer(data)
        except Impossible as error:
            sentence = gettext(self.calculator.notes[error.code])
            self.add_error(error.at or None, ValidationError(sentence, code=error.code))

    def boxes(self) -> list[dict]:
        """Return each bound field with its unit; figures of the material after what is typed."""
        return [
            {
                "field": self[each.name],
                "unit": gettext(each.unit) if each.unit else "",
                "asked": each,
                "is_polymer": each.kind == "polymer",
            }
            for each in self.calculator.inputs
        ]

    def typed(self) -> list[dict]:
        """Return the boxes of the job."""
        return [box for box in self.boxes() if not box["asked"].filled_by]

    def material(self) -> list[dict]:
        """Return the boxes that a polymer fills."""
        return [box for box in self.boxes() if box["asked"].filled_by]

    @property
    def is_material_open(self) -> bool:
        """Return whether the figures of the material need a look: an error, one typed, or no polymer."""
        names = [box["asked"].name for box in self.material()]
        chosen = [
            self.chosen(each.name) for each in self.calculator.inputs if each.kind == "polymer"
        ]
        typed = [name for name in names if self.data.get(name)]
        return bool(typed) or not any(chosen) or any(name in self.errors for name in names)


def help_of(asked: Input) -> str:
    """Return the help of a box: its own, and on what the value shown at first rests."""
    parts = [gettext(asked.help)] if asked.help else []
    if asked.basis:
        parts.append(gettext("Start value: %(basis)s.") % {"basis": gettext(BASES[asked.basis])})
    return " ".join(parts)
