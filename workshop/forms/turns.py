"""The form that begins a turn at a bench."""

from django import forms
from django.utils.translation import gettext_lazy as _

from workshop.forms.people import PinField


class TurnForm(forms.Form):
    """The PIN of the person who was picked."""

    pin = PinField(label=_("PIN"), error_messages={"required": _("Type your PIN.")})
