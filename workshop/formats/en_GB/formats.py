"""How days and times are written in the workshop's English: short, and by the 24-hour clock."""

DATE_FORMAT = "j F Y"
SHORT_DATE_FORMAT = "j M Y"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = "j F Y, H:i"
SHORT_DATETIME_FORMAT = "j M Y, H:i"
MONTH_DAY_FORMAT = "j M"
