"""Numbers and dates as people type them into a field, read exactly or refused with the reason."""

import re
from datetime import date
from decimal import Decimal
from typing import Final

from appreg.core.values.dates_in_words import MONTH_NAMES, date_words
from appreg.errors import InputRefused

_NUMBER: Final = r"[0-9]{1,9}(\.[0-9]{1,6})?|\.[0-9]{1,6}"
_DECIMAL_COMMA: Final = r"[0-9]{0,9},[0-9]{1,2}"
"""One comma with one or two digits behind it; three digits may be thousands."""
_ISO_DATE: Final = r"([0-9]{4})([-/])([0-9]{2})\2([0-9]{2})"
_DOTTED_DATE: Final = r"([0-9]{1,2})\. ?([0-9]{1,2})\. ?([0-9]{4})"
_SLASHED_DATE: Final = r"([0-9]{1,2})([-/])([0-9]{1,2})\2([0-9]{4})"
_MONTHS_IN_YEAR: Final = 12
_LONGEST_DATE: Final = 40
"""Characters of what is no date that a sentence repeats."""
_DATE_IN_WORDS: Final = r"([0-9]{1,2})\.? *([A-Za-z]{3,9})\.?,? *([0-9]{4})"
_MONTH_FIRST_IN_WORDS: Final = r"([A-Za-z]{3,9})\.? *([0-9]{1,2}),? +([0-9]{4})"


def decimal_typed(text: str, *, field: str, units: tuple[str, ...] = ()) -> Decimal | None:
    """Read a number that is not negative, None where nothing is typed; a unit may follow it."""
    typed = text.strip()
    for unit in units:
        typed = typed.removesuffix(unit).rstrip()
    if not typed:
        return None
    if re.fullmatch(_DECIMAL_COMMA, typed):
        typed = typed.replace(",", ".")
    if "," in typed:
        raise InputRefused(
            f"“{text.strip()}” may have a decimal comma or thousands; write a point before decimals, as in 1.5.",
            subject=field,
        )
    if not re.fullmatch(_NUMBER, typed):
        raise InputRefused(f"“{text.strip()}” is not a number; write it in figures, as in 1.5.", subject=field)
    return Decimal(typed)


def whole_typed(text: str, *, field: str, units: tuple[str, ...] = ()) -> int | None:
    """Read a whole number, None where nothing is typed."""
    number = decimal_typed(text, field=field, units=units)
    if number is None:
        return None
    if number != number.to_integral_value():
        raise InputRefused(f"“{text.strip()}” is not a whole number; leave the decimals out.", subject=field)
    return int(number)


def power_typed(text: str, *, field: str) -> int | None:
    """Read a power in W; `2.2 kW` is 2200, a number without a unit is in W."""
    typed = text.strip().replace("KW", "kW").replace("Kw", "kW").replace("kw", "kW")
    if not typed.endswith("kW"):
        return whole_typed(typed, field=field, units=("W", "w"))
    kilowatts = decimal_typed(typed, field=field, units=("kW",))
    watts = None if kilowatts is None else kilowatts * 1000
    if watts is None or watts != watts.to_integral_value():
        raise InputRefused(
            f"“{text.strip()}” is not a whole number of watts; write it as in 2.2 kW or 2200.", subject=field
        )
    return int(watts)


def date_typed(text: str, *, field: str, today: date) -> date | None:
    """Read a date as people write it, None where nothing is typed: in figures with the year first or last, in words, `today`.

    With strokes or dashes and the year last, the day must be one that no month could be: people of other countries
    put the month first.
    """
    typed = text.strip()
    if not typed:
        return None
    if typed.casefold() == "today":
        return today
    try:
        return _plain_date(typed, field)
    except ValueError:
        said = typed if len(typed) <= _LONGEST_DATE else f"{typed[:_LONGEST_DATE]}…"
        raise InputRefused(
            f"“{said}” is not a date; write it as in 2026-11-24 or 24 Nov 2026.", subject=field
        ) from None


def _plain_date(typed: str, field: str) -> date:
    if year_first := re.fullmatch(_ISO_DATE, typed):
        return date(int(year_first[1]), int(year_first[3]), int(year_first[4]))
    if dotted := re.fullmatch(_DOTTED_DATE, typed):
        return date(int(dotted[3]), int(dotted[2]), int(dotted[1]))
    if slashed := re.fullmatch(_SLASHED_DATE, typed):
        return _slashed_date(int(slashed[1]), int(slashed[3]), int(slashed[4]), typed, field)
    if words := re.fullmatch(_DATE_IN_WORDS, typed):
        return date(int(words[3]), _month(words[2]), int(words[1]))
    if words := re.fullmatch(_MONTH_FIRST_IN_WORDS, typed):
        return date(int(words[3]), _month(words[1]), int(words[2]))
    raise ValueError


def _month(word: str) -> int:
    """The month that a word names or begins; 0, which is in no calendar, where it names none."""
    return 1 + next((at for at, name in enumerate(MONTH_NAMES) if name.casefold().startswith(word.casefold())), -1)


def _slashed_date(first: int, second: int, year: int, typed: str, field: str) -> date:
    """The day first; raises InputRefused where the month could stand first as well."""
    read = date(year, second, first)
    if first <= _MONTHS_IN_YEAR and first != second:
        other = date(year, first, second)
        raise InputRefused(
            f"“{typed}” may be {date_words(read)} or {date_words(other)}; write it as in {read.isoformat()}.",
            subject=field,
        )
    return read
