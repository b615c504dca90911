"""What a box says of what was typed into it: the words of the workshop in the place of the framework's.

They are put where the framework keeps its own, so that no form can be forgotten.
"""

from django import forms
from django.core import validators
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

NOT_OFFERED = _("This is not on offer; choose one of the list.")
DAY = _("Enter a day such as 2026-03-02.")
MOMENT = _("Enter a day and a time such as 2026-03-02 14:30.")
FIELDS = {
    forms.Field: {"required": _("Fill this in.")},
    forms.DateField: {"invalid": DAY},
    forms.DateTimeField: {"invalid": MOMENT},
    forms.ChoiceField: {"required": _("Choose one of these."), "invalid_choice": NOT_OFFERED},
    forms.MultipleChoiceField: {
        "required": _("Choose at least one of these."),
        "invalid_choice": NOT_OFFERED,
        "invalid_list": NOT_OFFERED,
    },
    forms.ModelChoiceField: {
        "required": _("Choose one of these."),
        "invalid_choice": NOT_OFFERED,
    },
    forms.ModelMultipleChoiceField: {
        "required": _("Choose at least one of these."),
        "invalid_choice": NOT_OFFERED,
        "invalid_list": NOT_OFFERED,
        "invalid_pk_value": NOT_OFFERED,
    },
    forms.UUIDField: {"invalid": _("This page is out of date; open it again.")},
    forms.FileField: {
        "required": _("Choose a file."),
        "invalid": _("No file came along; choose it again."),
        "missing": _("No file came along; choose it again."),
        "empty": _("This file is empty; choose another."),
        "max_length": _("The name of this file is too long; give it a shorter one."),
    },
}
VALIDATORS = {
    validators.MinValueValidator: _("Enter %(limit_value)s or more."),
    validators.MaxValueValidator: _("Enter %(limit_value)s or less."),
    validators.MinLengthValidator: ngettext_lazy(
        "Write at least %(limit_value)s character.",
        "Write at least %(limit_value)s characters.",
        "limit_value",
    ),
    validators.MaxLengthValidator: ngettext_lazy(
        "Write at most %(limit_value)s character; these are %(show_value)s.",
        "Write at most %(limit_value)s characters; these are %(show_value)s.",
        "limit_value",
    ),
    validators.ProhibitNullCharactersValidator: _("Leave out what cannot be printed."),
}
DIGITS = {
    "max_digits": ngettext_lazy(
        "Enter at most %(max)s digit.", "Enter at most %(max)s digits.", "max"
    ),
    "max_decimal_places": ngettext_lazy(
        "Enter at most %(max)s decimal place.", "Enter at most %(max)s decimal places.", "max"
    ),
    "max_whole_digits": ngettext_lazy(
        "Enter at most %(max)s digit before the point.",
        "Enter at most %(max)s digits before the point.",
        "max",
    ),
}


def put_own_words() -> None:
    """Put the words of the workshop where the framework keeps its own."""
    for field, words in FIELDS.items():
        field.default_error_messages = field.__dict__.get("default_error_messages", {}) | words
    for validator, words in VALIDATORS.items():
        validator.message = words
    validators.DecimalValidator.messages = validators.DecimalValidator.messages | DIGITS
