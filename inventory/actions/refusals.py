"""How an action says no: one exception type, a short code, one sentence on what to do next."""

from django.core.exceptions import ValidationError


def refusal(code: str, sentence, /, **facts) -> ValidationError:
    """Return the refusal to raise; facts fill the sentence."""
    return ValidationError(sentence, code=code, params=facts or None)
