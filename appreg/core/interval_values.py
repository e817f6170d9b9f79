"""The figures of an interval table as one flat list, for the rule book page and its checks."""

from collections.abc import Iterator

from appreg.core.interval_tables import Interval, IntervalRow, IntervalTable
from appreg.core.rule_values import RuleValue

_TITLES = {"user_check": "User check", "visual": "Formal visual inspection", "test": "Combined inspection and test"}


def interval_values(table: IntervalTable) -> tuple[RuleValue, ...]:
    """Every figure of a table; keys are `intervals.TABLE.ROW.KIND`, KIND one of user_check, visual, test."""
    return tuple(_values(table))


def _values(table: IntervalTable) -> Iterator[RuleValue]:
    for row in table.rows:
        for kind, title in _TITLES.items():
            yield _value(table, row, kind, title)
    if table.error_rate:
        yield RuleValue(
            key=f"intervals.{table.id}.lengthening.error_rate_below",
            title="Intervals may be lengthened where the error rate is below",
            value=str(table.error_rate.below_percent),
            unit="%",
            condition="over like items",
            citation=table.error_rate.citation,
        )


def _value(table: IntervalTable, row: IntervalRow, kind: str, title: str) -> RuleValue:
    interval: Interval | None = getattr(row, kind)
    return RuleValue(
        key=f"intervals.{table.id}.{row.id}.{kind}",
        title=title,
        value="none needed" if interval is None else written(interval),
        unit="",
        condition=row.title,
        citation=row.citation,
    )


def written(interval: Interval) -> str:
    """An interval with its ends in ISO 8601: 'P6M to P1Y', 'before issue', 'P1D, every shift'."""
    if interval.shortest == interval.longest:
        figure = str(interval.shortest) if interval.shortest else ""
    else:
        figure = f"{interval.shortest} to {interval.longest}"
    return ", ".join(part for part in (figure, *interval.when) if part)
