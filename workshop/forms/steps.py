"""The form that starts a step."""

from django import forms

from workshop.calculations.steps import STEPS
from workshop.forms.moments import TapForm
from workshop.models import Step


class StepForm(TapForm):
    """One of the steps of the run's operation; its buttons are the choices."""

    def __init__(self, *args, operation: str, **options):
        super().__init__(*args, **options)
        choices = [(name, Step.Name(name).label) for name in STEPS[operation]]
        self.fields["name"] = forms.ChoiceField(choices=choices)
