"""How an action says no: one exception type, a short code, one sentence on what to do next."""

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

CONFLICT = _("Somebody changed this at the same moment; look again and try once more.")


def refusal(code: str, sentence, /, **facts) -> ValidationError:
    """Return the refusal to raise; facts fill the sentence."""
    return ValidationError(sentence, code=code, params=facts or None)
