"""Fields of what a client sends; each takes one JSON type only, and whole milligrams."""

from datetime import UTC, datetime

from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _
from rest_framework import serializers

from inventory.api.names import by_name
from inventory.models import Bin, Colour, Lot, Scale, Source
from inventory.queries.bins import bins_coded
from inventory.queries.codes import row_found, void_note
from inventory.queries.materials import polymer_named
from inventory.queries.statements import kept

MOST_MG = 10**14
EARLIEST = datetime(2000, 1, 1, tzinfo=UTC)
NOT_TEXT = _("Send text here.")


def need_text(field, value):
    """Refuse what is no text, before a parser turns it into some."""
    if value is not None and value is not serializers.empty and not isinstance(value, str):
        raise serializers.ValidationError(NOT_TEXT, code="invalid")


class TextField(serializers.CharField):
    """Text, and no number that looks like text."""

    def run_validation(self, data=serializers.empty):
        need_text(self, data)
        return super().run_validation(data)


class UuidField(serializers.UUIDField):
    """A UUID as text."""

    def run_validation(self, data=serializers.empty):
        need_text(self, data)
        return super().run_validation(data)


class DayField(serializers.DateField):
    """A date as text."""

    def run_validation(self, data=serializers.empty):
        need_text(self, data)
        return super().run_validation(data)


class MomentField(serializers.DateTimeField):
    """A time as text; a time before this century is a slip."""

    def run_validation(self, data=serializers.empty):
        need_text(self, data)
        moment = super().run_validation(data)
        if moment is not None and moment < EARLIEST:
            raise serializers.ValidationError(_("This time lies too far back."), code="invalid")
        return moment


class WholeField(serializers.IntegerField):
    """A whole number written as one: no text, no fraction, no yes or no."""

    def to_internal_value(self, data):
        if type(data) is not int:
            raise serializers.ValidationError(_("Send a whole number here."), code="invalid")
        return super().to_internal_value(data)


class MassField(WholeField):
    """Whole milligrams, above zero and up to 100 tonnes."""

    def __init__(self, *, min_value=1, **options):
        super().__init__(min_value=min_value, max_value=MOST_MG, **options)


class ConfirmedField(serializers.BooleanField):
    """Whether somebody said that what was asked back is right."""

    def __init__(self, **options):
        said = "Send true after `surprising` was answered and it is right all the same."
        super().__init__(**({"default": False, "help_text": said} | options))


class FoundField(TextField):
    """A thing by its code or name; what it names must exist."""

    def __init__(self, **options):
        super().__init__(**({"max_length": 200} | options))

    def find(self, text):
        raise NotImplementedError

    def run_validation(self, data=serializers.empty):
        text = super().run_validation(data)
        if text is None:
            return None
        found = self.find(text)
        if found is None:
            sentence = _("Nothing here is called “%(text)s”.") % {"text": text[:60]}
            raise serializers.ValidationError(sentence, code="unknown")
        return found


class ScannedField(FoundField):
    """A thing by what is scanned off its label; a void label is refused."""

    def run_validation(self, data=serializers.empty):
        found = super().run_validation(data)
        if found is not None and (note := void_note(data, self.root.initial_data.get("uuid"))):
            raise serializers.ValidationError(note, code="void-label")
        return found


@kept
def lots_coded(code: str) -> QuerySet[Lot]:
    """The lot of a code with its material and bin."""
    return Lot.objects.select_related("polymer", "colour", "bin").filter(code=code)


class BinField(ScannedField):
    """A bin by code or shop name."""

    def find(self, text):
        bins = Bin.objects.select_related("polymer", "colour")
        return row_found(bins_coded, text) or by_name(bins, text)


class LotField(ScannedField):
    """A lot by code."""

    def find(self, text):
        return row_found(lots_coded, text)


class PolymerField(FoundField):
    """A polymer by its symbol or an accepted trade spelling."""

    def find(self, text):
        return polymer_named(text)


class ColourField(FoundField):
    """A colour by its name."""

    def find(self, text):
        return by_name(Colour.objects.all(), text)


class SourceField(FoundField):
    """A source by its name."""

    def find(self, text):
        return by_name(Source.objects.all(), text)


class ScaleField(FoundField):
    """A scale in use by its name."""

    def find(self, text):
        return by_name(Scale.objects.filter(is_in_use=True), text)
