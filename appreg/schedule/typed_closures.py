"""Closures as people type them into a field: `24.12.2026..3.1.2027, 1 May 2027`."""

import re
from datetime import date
from typing import Final

from appreg.core.values.typed_values import date_typed
from appreg.errors import InputRefused
from appreg.schedule.closure_file import closure_between
from appreg.schedule.visiting_days import Closure

_ISO: Final = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_INTERVAL: Final = re.compile(rf"({_ISO})/(?={_ISO})")
"""How ISO 8601 writes from and to."""
_BESIDE: Final = re.compile(rf"({_ISO})\s+(?={_ISO})")
_NEXT: Final = re.compile(r"[,;\n]")
_UNTIL: Final = re.compile(r"\.\.| to ")


def closures_typed(text: str, *, field: str, today: date) -> tuple[Closure, ...]:
    """Days and ranges with a comma between them; raises InputRefused beginning with the field."""
    spread = _BESIDE.sub(r"\1,", _INTERVAL.sub(r"\1..", text))
    return tuple(_closure(part.strip(), field, today) for part in _NEXT.split(spread) if part.strip())


def _closure(part: str, field: str, today: date) -> Closure:
    days = [date_typed(end, field=field, today=today) for end in _UNTIL.split(part)]
    ends = [day for day in days if day is not None]
    if len(ends) != len(days) or len(ends) > 2:  # noqa: PLR2004 - from and to
        raise InputRefused(f"{field}: “{part}” is not understood; type a day, or a range as in 24.12.2026..3.1.2027.")
    try:
        return closure_between(ends[0], ends[-1])
    except InputRefused as refusal:
        raise InputRefused(f"{field}: {refusal}") from refusal
