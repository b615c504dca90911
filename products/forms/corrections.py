"""Passports issued anew after a correction: why, once for all of them."""

from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import ReasonForm


class ReissueForm(ReasonForm):
    """Why passports are issued anew."""

    def __init__(self, *args, **options):
        options.setdefault("initial", {"reason": _("The book was corrected.")})
        super().__init__(*args, **options)
        del self.fields["happened_at"]
