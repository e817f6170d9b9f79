"""Closures as people type them into a field: `24.12.2026..3.1.2027 (works closed), 1 May 2027`."""

import re
from collections.abc import Iterable
from datetime import date
from typing import Final

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.typed_values import date_typed
from appreg.errors import InputRefused
from appreg.schedule.closure_file import closure_between
from appreg.schedule.visiting_days import Closure

_ISO: Final = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_INTERVAL: Final = re.compile(rf"({_ISO})/(?={_ISO})")
"""How ISO 8601 writes from and to."""
_BESIDE: Final = re.compile(rf"({_ISO})\s+(?={_ISO})")
_PART: Final = re.compile(r"(?P<days>[^,;\n()]*)(?:\((?P<reason>[^()]*)\)\s*)?(?:[,;\n]|$)")
_UNTIL: Final = re.compile(r"\.\.| to ")


def closures_typed(text: str, *, field: str, today: date) -> tuple[Closure, ...]:
    """Days and ranges with a comma between them, each with its name in brackets where it has one.

    Raises InputRefused beginning with the field.
    """
    spread = _BESIDE.sub(r"\1,", _INTERVAL.sub(r"\1..", text)).strip()
    closures = []
    place = 0
    while place < len(spread):
        found = _PART.match(spread, place)
        if found is None:
            raise InputRefused(
                f"{field}: “{spread[place:][:40]}” is not understood; write a name as in 1 May 2027 (fair)."
            )
        place = found.end()
        if found["days"].strip() or found["reason"]:
            closures.append(_closure(found["days"].strip(), (found["reason"] or "").strip(), field, today))
    return tuple(closures)


def closures_as_typed(closures: Iterable[Closure]) -> str:
    """Closures as they are typed, to be put back into a field."""
    return ", ".join(_as_typed(each) for each in closures)


def _as_typed(closure: Closure) -> str:
    days = date_words(closure.first)
    if closure.last != closure.first:
        days += f"..{date_words(closure.last)}"
    reason = closure.reason.replace("(", "").replace(")", "").strip()
    return f"{days} ({reason})" if reason else days


def _closure(part: str, reason: str, field: str, today: date) -> Closure:
    days = [date_typed(end, field=field, today=today) for end in _UNTIL.split(part)]
    ends = [day for day in days if day is not None]
    if len(ends) != len(days) or len(ends) > 2:  # noqa: PLR2004 - from and to
        raise InputRefused(f"{field}: “{part}” is not understood; type a day, or a range as in 24.12.2026..3.1.2027.")
    try:
        return closure_between(ends[0], ends[-1], reason=reason)
    except InputRefused as refusal:
        raise InputRefused(f"{field}: {refusal}") from refusal
