"""Intervals set by hand: which holds for an item, how long it may be, and what the table's answer becomes."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.work_records import IntervalKind, IntervalOverride, OverrideScope
from appreg.core.rules.interval_tables import Interval, IntervalAnswer, IntervalTable, LandlordProfile
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.periods import Period, parse_period

_SCOPE_WORDS: Final = {
    OverrideScope.APPLIANCE: "this item",
    OverrideScope.CATEGORY: "its category",
    OverrideScope.LOCATION: "its location",
}


class LongestAllowed(Struct, frozen=True, kw_only=True):
    """The longest interval that a statute or a table lets a person set."""

    period: Period
    source: str
    """Whose limit it is, in words."""


class Signature(Struct, frozen=True, kw_only=True):
    """A duty holder's, for an interval longer than a table or a statute has it."""

    by: str
    on: date


def longest_allowed(
    table: IntervalTable, answer: IntervalAnswer, profile: LandlordProfile | None, kind: IntervalKind
) -> LongestAllowed | None:
    """The limit to which what is set by hand is cut unless a duty holder signed for more than it.

    It is the landlord profile's, and of a table that ties length to errors its own.
    """
    limits = []
    if profile is not None and profile.test_max is not None:
        limits.append(LongestAllowed(period=profile.test_max, source=profile.title))
    interval = _of_kind(answer, kind)
    if table.error_rate is not None and interval is not None and interval.longest is not None:
        limits.append(LongestAllowed(period=interval.longest, source=f"{table.title}, {answer.title}"))
    return min(limits, key=lambda limit: limit.period, default=None)


def longest_unsigned(
    table: IntervalTable, answer: IntervalAnswer, profile: LandlordProfile | None, kind: IntervalKind
) -> LongestAllowed | None:
    """The longest interval that may be set without a duty holder's signature: the statute's or the table's own."""
    limits = [longest_allowed(table, answer, profile, kind)]
    interval = _of_kind(answer, kind)
    if interval is not None and interval.longest is not None:
        limits.append(LongestAllowed(period=interval.longest, source=f"{table.title}, {answer.title}"))
    return min((limit for limit in limits if limit is not None), key=lambda limit: limit.period, default=None)


def one_in_force(overrides: Iterable[IntervalOverride]) -> IntervalOverride | None:
    """The one that holds among those that speak of an item and of one kind of inspection.

    The item's own comes first; between category and location the shorter.
    """
    return min(
        overrides,
        key=lambda each: (each.scope is not OverrideScope.APPLIANCE, parse_period(each.period), each.uid),
        default=None,
    )


def overridden(answer: IntervalAnswer, override: IntervalOverride, limit: LongestAllowed | None) -> IntervalAnswer:
    """The answer with one interval replaced; unsigned, it is cut to the limit."""
    period = parse_period(override.period)
    if limit is not None and not override.signed_by_duty_holder:
        period = min(period, limit.period)
    now = _of_kind(answer, override.what)
    interval = Interval(shortest=period, longest=period, when=now.when if now else (), by_hand=override_words(override))
    if override.what is IntervalKind.VISUAL:
        return replace(answer, visual=interval)
    return replace(answer, test=interval)


def override_words(override: IntervalOverride) -> str:
    """Say who set it, for what, when and why: 'set for this item by A. Brook on 2026-03-01: low wear'."""
    signed = ", signed by a duty holder" if override.signed_by_duty_holder else ""
    if override.signed_by:
        signed = f", signed by {override.signed_by}"
        signed += f" on {date_words(override.signed_on)}" if override.signed_on else ""
    scope = _SCOPE_WORDS[override.scope]
    return f"set for {scope} by {override.author} on {date_words(override.on)}{signed}: {override.reason}"


def since_words(overrides: Sequence[IntervalOverride]) -> str:
    """Since when intervals are in use, and by whom: 'set on 24 Nov 2026 by A. Brook'; of several, oldest first, both ends."""
    first, last = overrides[0], overrides[-1]
    if first.on != last.on:
        return f"set from {date_words(first.on)} to {date_words(last.on)}"
    authors = dict.fromkeys(each.author for each in overrides)
    return f"set on {date_words(first.on)} by {' and '.join(authors)}"


def _of_kind(answer: IntervalAnswer, kind: IntervalKind) -> Interval | None:
    return answer.visual if kind is IntervalKind.VISUAL else answer.test
