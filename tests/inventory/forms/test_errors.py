"""What a box says of what was typed into it."""

import pytest
from django import forms
from django.core.exceptions import ValidationError

from inventory.models import Colour

COUNT = forms.IntegerField(min_value=1, max_value=60)


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        (COUNT, "0", "Enter 1 or more."),
        (COUNT, "61", "Enter 60 or less."),
        (COUNT, "", "Fill this in."),
        (forms.DecimalField(max_digits=3), "1234", "Enter at most 3 digits."),
        (forms.DecimalField(decimal_places=1), "1.25", "Enter at most 1 decimal place."),
        (forms.CharField(max_length=3), "four", "Write at most 3 characters; these are 4."),
        (forms.CharField(), "a\x00b", "Leave out what cannot be printed."),
        (forms.ChoiceField(choices=[("a", "A")]), "b", "This is not on offer; choose one of the list."),
        (forms.ChoiceField(choices=[("a", "A")]), "", "Choose one of these."),
        (forms.DateField(), "soon", "Enter a day such as 2026-03-02."),
        (forms.DateTimeField(), "soon", "Enter a day and a time such as 2026-03-02 14:30."),
        (forms.UUIDField(), "soon", "This page is out of date; open it again."),
        (forms.FileField(), None, "Choose a file."),
    ],
)  # fmt: skip
def test_a_box_says_what_to_do_in_words_of_the_workshop(field, typed, said):
    with pytest.raises(ValidationError) as refused:
        field.clean(typed)
    assert refused.value.messages == [said]


@pytest.mark.django_db
@pytest.mark.parametrize("kind", [forms.ModelChoiceField, forms.ModelMultipleChoiceField])
def test_a_row_that_is_not_offered_is_no_choice(kind):
    with pytest.raises(ValidationError) as refused:
        kind(queryset=Colour.objects.none()).clean(["7"] if "Multiple" in kind.__name__ else "7")
    assert refused.value.messages == ["This is not on offer; choose one of the list."]
