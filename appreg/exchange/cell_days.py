"""Days as tables write them, in an order that was told, or that contents leave no doubt of."""

import re
from datetime import date
from typing import Final

from appreg.core.values.dates_in_words import MONTH_NAMES
from appreg.exchange.cell_refused import CellRefused, quoted
from appreg.exchange.column_mapping import DateOrder

_TIME: Final = re.compile(
    r"(?i)[T ,]+([01]?[0-9]|2[0-3])[:.h][0-5][0-9]([:.][0-5][0-9](\.[0-9]{1,9})?)?\s*([ap]\.?m\.?)?\s*(Z|[+-][0-9]{2}:?[0-9]{2})?\Z"
)
_FIGURES: Final = re.compile(r"([0-9]{1,4})\s?([-/. ])\s?([0-9]{1,2})\s?\2\s?([0-9]{1,4})\.?")
_RUN: Final = re.compile(r"[0-9]{8}")
_COUNTED: Final = re.compile(r"[2-7][0-9]{4}(\.[0-9]+)?")
"""Days since 1900, from 1954 to 2118; some workbooks count from 1904, so that none is taken for one day."""
_WORDS: Final = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[-. /]*([^\W\d_]{3,12})[-., /]*([0-9]{4}|[0-9]{2})")
_WORDS_MONTH_FIRST: Final = re.compile(r"([^\W\d_]{3,12})[-. /]*([0-9]{1,2})(?:st|nd|rd|th)?[-., /]+([0-9]{4})")
_PLACES: Final = {
    DateOrder.DAY_FIRST: (2, 1, 0),
    DateOrder.MONTH_FIRST: (2, 0, 1),
    DateOrder.YEAR_FIRST: (0, 1, 2),
}
"""By order: where year, month and day stand."""
_CENTURY_FROM: Final = 69
"""Years of two figures from here on are of the twentieth century (POSIX, strptime %y)."""
_YEAR_FIGURES: Final = 4
_MONTHS: Final = 12
_OTHER_MONTHS: Final = {
    "januar": 1, "janvier": 1, "enero": 1, "januari": 1, "februar": 2, "février": 2, "febrero": 2, "februari": 2, "märz": 3, "mars": 3, "marzo": 3,
    "maart": 3, "avril": 4, "abril": 4, "mai": 5, "mayo": 5, "mei": 5, "juni": 6, "juin": 6, "junio": 6, "juli": 7, "juillet": 7, "julio": 7,
    "août": 8, "agosto": 8, "augustus": 8, "septembre": 9, "septiembre": 9, "oktober": 10, "octobre": 10, "octubre": 10, "novembre": 11,
    "noviembre": 11, "dezember": 12, "décembre": 12, "diciembre": 12,
}  # fmt: skip
_LONGEST: Final = 60
"""Characters of a day with its time, in words and with its zone."""


def day_of(text: str, order: DateOrder | None) -> date:
    """Read a day; raises CellRefused where it is none, or where its order must be told first."""
    typed = _without_time(text)
    try:
        found = _in_words(typed) or _in_figures(typed, order)
    except ValueError:
        found = None
    if found is None and may_be_counted(text):
        raise CellRefused(
            f"{quoted(text)} may be a day as spreadsheets count them",
            "format the column as dates there, and save it anew",
        )
    if found is None:
        raise CellRefused(
            f"{quoted(text)} is not a day", "write it as 2026-11-24, or say in which order its parts stand"
        )
    return found


def may_be_counted(text: str) -> bool:
    """Tell whether a figure may be a day as spreadsheets count them."""
    return _COUNTED.fullmatch(text.strip()[:_LONGEST]) is not None


def orders_of(text: str) -> frozenset[DateOrder]:
    """The orders in which a day in figures can be read; all three where no order matters, none where it is no day."""
    typed = _without_time(text)
    try:
        if _in_words(typed):
            return frozenset(DateOrder)
    except ValueError:
        return frozenset()
    own = _own_order(typed)
    orders = [own] if own else DateOrder
    return frozenset(order for order in orders if _readable(typed, order))


def says_its_order(text: str) -> bool:
    """Tell whether a day is read alike in whatever order the rest stands: ISO 8601, with points, or in words."""
    typed = _without_time(text)
    try:
        return bool(_in_words(typed)) or _own_order(typed) is not None
    except ValueError:
        return False


def _without_time(text: str) -> str:
    """The day of a time; what is too long for either is left out, for patterns take the square of its length."""
    stripped = text.strip()
    return _TIME.sub("", stripped) if len(stripped) <= _LONGEST else ""


def _readable(typed: str, order: DateOrder) -> bool:
    try:
        return _in_figures(typed, order) is not None
    except (ValueError, CellRefused):
        return False


def _own_order(typed: str) -> DateOrder | None:
    """The order that a day has by its form: four figures first, or points between."""
    found = _FIGURES.fullmatch(typed)
    if _RUN.fullmatch(typed) or (found and len(found[1]) == _YEAR_FIGURES):
        return DateOrder.YEAR_FIRST
    if found and found[2] == "." and len(found[4]) == _YEAR_FIGURES:
        return DateOrder.DAY_FIRST
    return None


def _in_figures(typed: str, order: DateOrder | None) -> date | None:
    if _RUN.fullmatch(typed):
        return date(int(typed[:4]), int(typed[4:6]), int(typed[6:]))
    found = _FIGURES.fullmatch(typed)
    if found is None:
        return None
    own = _own_order(typed) or order
    if own is None:
        raise CellRefused(
            f"{quoted(typed)} may have day or month first", "say in the mapping in which order days stand"
        )
    parts = (found[1], found[3], found[4])
    year, month, day = (parts[at] for at in _PLACES[own])
    if len(day) > 2 or len(year) not in {2, _YEAR_FIGURES}:  # noqa: PLR2004 - figures of a day
        raise ValueError(typed)
    return date(_year(year), int(month), int(day))


def _in_words(typed: str) -> date | None:
    if found := _WORDS.fullmatch(typed):
        return date(_year(found[3]), _month(found[2]), int(found[1]))
    if found := _WORDS_MONTH_FIRST.fullmatch(typed):
        return date(int(found[3]), _month(found[1]), int(found[2]))
    return None


def _year(text: str) -> int:
    year = int(text)
    if len(text) == _YEAR_FIGURES:
        return year
    return 1900 + year if year >= _CENTURY_FROM else 2000 + year


def _month(word: str) -> int:
    """The month that a word names or begins; raises ValueError where it names none."""
    wanted = word.casefold()
    names = [(name.casefold(), at) for at, name in enumerate(MONTH_NAMES, 1)]
    found = {at for name, at in (*names, *_OTHER_MONTHS.items()) if name.startswith(wanted) or name == wanted}
    if len(found) != 1:
        raise ValueError(word)
    return found.pop()
