"""How long something takes, in words: never as a clock shows it, which would read as a time of day."""

from django.utils.translation import gettext as _

MINUTE_S, HOUR_S = 60, 3600
NO_BREAK = "\N{NO-BREAK SPACE}"


def duration_said(seconds: float) -> str:
    """Return whole seconds with their units; from an hour on to the minute.

    Such as 45 s, 11 min 7 s, 2 min, 1 h 5 min; what is below nothing is 0 s.
    """
    total = max(0, round(seconds))
    if total >= HOUR_S:
        hours, minutes = divmod(round(total / MINUTE_S), MINUTE_S)
        return joined([(hours, _("h")), (minutes, _("min"))])
    minutes, rest = divmod(total, MINUTE_S)
    return joined([(minutes, _("min")), (rest, _("s"))])


def joined(amounts: list[tuple[int, str]]) -> str:
    """Return amounts with their units, without those that are nothing; of the last unit if all are."""
    said = [f"{amount}{NO_BREAK}{unit}" for amount, unit in amounts if amount]
    return " ".join(said) or f"0{NO_BREAK}{amounts[-1][1]}"
