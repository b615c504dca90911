"""The field that gives a thing its 12-character code."""

from django.db import models

from inventory.calculations.codes import new_code


class CodeField(models.CharField):
    """A unique Crockford base-32 code, made when the object is.

    Migrations see a plain CharField, so that they need none of this code.
    """

    def __init__(self, **options):
        fixed = {"max_length": 12, "unique": True, "editable": False, "default": new_code}
        super().__init__(**(fixed | options))

    def deconstruct(self):
        name, _path, args, options = super().deconstruct()
        options.pop("default")
        return name, "django.db.models.CharField", args, options
