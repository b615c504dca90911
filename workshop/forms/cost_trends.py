"""Of which design and which days the report of time, energy and cost tells."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.periods import PeriodForm
from products.models import Design


class CostTrendForm(PeriodForm):
    """A design, and which days; with no days this month and the eleven before it."""

    design = forms.ModelChoiceField(
        label=_("Design"), queryset=Design.objects.all(), required=False, empty_label=_("choose")
    )
