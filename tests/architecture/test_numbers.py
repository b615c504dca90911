"""Whatever the keypad of a tablet has for the decimal sign, every page that takes a number takes it."""

from importlib import import_module
from pkgutil import iter_modules

import pytest
from django import forms

APPS = ("inventory", "products", "workshop")


def number_fields():
    for app in APPS:
        package = import_module(f"{app}.forms")
        for found in iter_modules(package.__path__, f"{package.__name__}."):
            for name, form in vars(import_module(found.name)).items():
                for label, field in getattr(form, "base_fields", {}).items():
                    if isinstance(field, forms.DecimalField | forms.FloatField):
                        yield f"{found.name}.{name}.{label}", field


FOUND = dict(number_fields())


def test_there_are_fields_to_look_at():
    assert len(FOUND) > 10


@pytest.mark.parametrize("field", FOUND.values(), ids=FOUND)
def test_a_number_may_be_typed_with_a_comma_and_pasted_with_spaces(field):
    assert field.to_python(" 1,5 ") == field.to_python("1.5")
