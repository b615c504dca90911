"""Stretches of days that a report tells of, cut into months or years; ends are first days not counted."""

from calendar import monthrange
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

FIRST_YEAR, LAST_YEAR = 1900, 2199
MOST_MONTHS, MOST_YEARS = 24, 60
MONTHS_OF_YEAR = 12


@dataclass(frozen=True)
class Step:
    """Some days of a period: a month or a year, or what of it lies in the period."""

    start: date
    end: date

    @property
    def last(self) -> date:
        """Its last day."""
        return self.end - timedelta(days=1)


@dataclass(frozen=True)
class Period:
    """The days from `start` up to, and without, `end`."""

    start: date
    end: date

    @property
    def last(self) -> date:
        """Its last day."""
        return self.end - timedelta(days=1)

    @property
    def steps(self) -> list[Step]:
        """Its months, or when these are many its years; the first and the last may be cut.

        >>> [step.start.month for step in Period(date(2026, 1, 15), date(2026, 3, 1)).steps]
        [1, 2]
        """
        return list(self.cut(next_month if self.is_by_month else next_year))

    def cut(self, following) -> Iterator[Step]:
        """Yield the steps between the days that `following` leads to."""
        start = self.start
        while start < self.end:
            end = min(following(start), self.end)
            yield Step(start, end)
            start = end

    @property
    def is_by_month(self) -> bool:
        """Whether its steps are months."""
        return month_number(self.last) - month_number(self.start) < MOST_MONTHS

    @property
    def before(self) -> "Period":
        """The stretch of as many days or months that ends where this one begins."""
        if self.is_whole_months:
            months = month_number(self.end) - month_number(self.start)
            return Period(months_on(self.start, -months), self.start)
        return Period(self.start - (self.end - self.start), self.start)

    @property
    def after(self) -> "Period":
        """The stretch of as many days or months that begins where this one ends."""
        if self.is_whole_months:
            months = month_number(self.end) - month_number(self.start)
            return Period(self.end, months_on(self.end, months))
        return Period(self.end, self.end + (self.end - self.start))

    @property
    def is_whole_months(self) -> bool:
        """Whether it begins and ends with a month."""
        return self.start.day == 1 and self.end.day == 1


def month_number(day: date) -> int:
    """Return the number of a day's month, counted from the year 0."""
    return day.year * MONTHS_OF_YEAR + day.month - 1


def months_on(day: date, months: int) -> date:
    """Return the first day of the month so many months later.

    >>> months_on(date(2026, 1, 31), -2)
    datetime.date(2025, 11, 1)
    """
    year, month = divmod(month_number(day) + months, MONTHS_OF_YEAR)
    return date(year, month + 1, 1)


def next_month(day: date) -> date:
    """Return the first day of the next month."""
    return day.replace(day=monthrange(day.year, day.month)[1]) + timedelta(days=1)


def next_year(day: date) -> date:
    """Return the first day of the next year."""
    return date(day.year + 1, 1, 1)


def month_of(day: date) -> Period:
    """Return the month of a day."""
    return Period(day.replace(day=1), next_month(day))


def year_of(day: date) -> Period:
    """Return the year of a day.

    >>> year_of(date(2024, 2, 29)).last
    datetime.date(2024, 12, 31)
    """
    return Period(date(day.year, 1, 1), next_year(day))


def twelve_months_to(day: date) -> Period:
    """Return the month of a day and the eleven before it."""
    return Period(months_on(day, 1 - MONTHS_OF_YEAR), next_month(day))
