"""Days on which a site can be visited: a recurrence rule as RFC 5545 writes it, less closures."""

import re
from bisect import bisect_right
from collections.abc import Iterable
from datetime import date, datetime, time
from typing import Final

from dateutil.rrule import rrule, rrulestr
from msgspec import Struct

from appreg.errors import InputRefused

WORKDAYS: Final = "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"
"""Where no rule is given: Monday to Friday."""
LONGEST_RULE: Final = 500
_ALWAYS: Final = frozenset({"FREQ", "INTERVAL", "COUNT", "UNTIL", "WKST", "BYDAY", "BYMONTH"})
_USABLE: Final = {
    "DAILY": _ALWAYS | {"BYMONTHDAY"},
    "WEEKLY": _ALWAYS,
    "MONTHLY": _ALWAYS | {"BYMONTHDAY", "BYSETPOS"},
    "YEARLY": _ALWAYS | {"BYMONTHDAY", "BYSETPOS", "BYYEARDAY", "BYWEEKNO"},
}
"""By frequency: the parts that RFC 5545 allows and that speak of whole days."""
_MONTHS: Final = re.compile(r"(1[0-2]|[1-9])(,(1[0-2]|[1-9]))*")
_EVERY_DAY: Final = ",".join(str(day) for day in range(1, 32))
_NO_COUNT: Final = 1_000_000


class Closure(Struct, frozen=True, kw_only=True):
    """Days on which a place is closed, both ends included."""

    first: date
    last: date
    reason: str = ""


def visiting_days(
    start: date, end: date, *, rule: str = "", closures: Iterable[Closure] = (), anchor: date | None = None
) -> tuple[date, ...]:
    """The days from start to end on which a visit is possible, ascending.

    `anchor` is the day a rule such as 'every second week' counts from, the start where None.
    Raises InputRefused for a rule that is none.
    """
    days = _days_of(rule or WORKDAYS, anchor or start, end)
    closed = _merged(closures)
    firsts = [first for first, _ in closed]
    open_days = []
    for day in days:
        before = bisect_right(firsts, day)
        if day >= start and not (before and day <= closed[before - 1][1]):
            open_days.append(day)
    return tuple(open_days)


def _days_of(rule: str, anchor: date, end: date) -> list[date]:
    """The days of a rule from its anchor to the end; always bounded, whatever the rule says."""
    parts = _parts(rule)
    count = int(parts.pop("COUNT", _NO_COUNT))
    until = parts.pop("UNTIL", "")
    every = int(parts.pop("INTERVAL")) if parts["FREQ"] == "DAILY" and "INTERVAL" in parts else 1
    if parts["FREQ"] == "DAILY":
        # dateutil looks for a day that never comes until the year 9999: a year at a time, not a day at a time.
        parts = {"BYMONTHDAY": _EVERY_DAY, **parts, "FREQ": "YEARLY"}
    horizon = datetime.combine(end, time.min)
    try:
        if until:
            horizon = min(horizon, datetime.strptime(until[:8], "%Y%m%d"))  # noqa: DTZ007 - days only
        text = ";".join(f"{name}={value}" for name, value in parts.items())
        found = rrulestr(text, dtstart=datetime.combine(anchor, time.min))
        if not isinstance(found, rrule):
            raise InputRefused(_refusal(rule))
        days = [moment.date() for moment in found.replace(until=horizon)]
    except (ValueError, TypeError, KeyError, IndexError, AttributeError) as problem:
        raise InputRefused(_refusal(rule)) from problem
    return [day for day in days if (day - anchor).days % every == 0][:count]


def _parts(rule: str) -> dict[str, str]:
    text = rule.strip().upper().removeprefix("RRULE:")
    pairs = [part.partition("=") for part in text.split(";") if part]
    parts = {name: value for name, _, value in pairs}
    usable = (
        bool(parts) and parts.keys() <= _USABLE.get(parts.get("FREQ", ""), frozenset()) and len(parts) == len(pairs)
    )
    usable = usable and bool(_MONTHS.fullmatch(parts.get("BYMONTH", "1")))
    numbers = [parts.get(name, "1") for name in ("INTERVAL", "COUNT")]
    if len(rule) > LONGEST_RULE or not usable or not all(re.fullmatch(r"[1-9]\d{0,5}", number) for number in numbers):
        raise InputRefused(_refusal(rule))
    return parts


def _refusal(rule: str) -> str:
    return (
        f"“{rule[:60]}” is not a rule for days of visits; write it as RFC 5545 does, "
        "such as FREQ=WEEKLY;BYDAY=TU,TH or FREQ=MONTHLY;BYDAY=1WE."
    )


def _merged(closures: Iterable[Closure]) -> list[tuple[date, date]]:
    """First and last days, ascending, no two of which share a day."""
    merged: list[tuple[date, date]] = []
    for first, last in sorted((shut.first, shut.last) for shut in closures):
        if merged and first <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(last, merged[-1][1]))
        else:
            merged.append((first, last))
    return merged
