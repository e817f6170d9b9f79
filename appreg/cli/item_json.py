"""Items and inspections as JSON, for programs that read."""

from dataclasses import fields
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from appreg.cli.console import JsonValue
from appreg.core.item_facts import assumed_in
from appreg.core.methods import left_out_because, method_words, readings_in

if TYPE_CHECKING:
    from appreg.core.interval_tables import Interval
    from appreg.core.records import Appliance, FindingRecord
    from appreg.tasks.open_bench import PastInspection

_RENAMED: Final = {"name": "item", "appliance_class": "class", "equipment_type": "type"}
_JOINED: Final = frozenset({"site", "location", "category"})
"""Keys of other records; the page gives their names."""


def appliance_as_json(item: "Appliance") -> dict[str, JsonValue]:
    """Every field of an item but the keys of where it stands; decimals as text, so that none is rounded."""
    return {
        _RENAMED.get(field.name, field.name): _plain(getattr(item, field.name))
        for field in fields(item)
        if field.name not in _JOINED
    }


def inspection_as_json(past: "PastInspection") -> JsonValue:
    """One inspection with its findings."""
    inspection = past.inspection
    return {
        "uid": inspection.uid,
        "date": inspection.date.isoformat(),
        "kind": inspection.kind.value,
        "outcome": inspection.outcome.value,
        "missing": list(inspection.missing),
        "advice": list(inspection.advice),
        "remarks": inspection.remarks,
        "person": past.person.name,
        "instrument": past.instrument.serial if past.instrument else None,
        "rule_book": inspection.rule_book_version,
        "supersedes": inspection.supersedes,
        "reason": inspection.reason,
        "superseded": past.superseded,
        "assumed": list(assumed_in(inspection.item_facts)),
        "findings": [_finding_as_json(each) for each in past.findings],
    }


def interval_as_json(interval: "Interval | None") -> JsonValue:
    """An interval as ISO 8601 durations; null where none is needed."""
    if interval is None:
        return None
    return {
        "shortest": str(interval.shortest) if interval.shortest else None,
        "longest": str(interval.longest) if interval.longest else None,
        "when": list(interval.when),
    }


def _finding_as_json(finding: "FindingRecord") -> JsonValue:
    return {
        "check": finding.check_name,
        "reading": finding.reading,
        "unit": finding.unit,
        "limit_low": _plain(finding.limit_low),
        "limit_high": _plain(finding.limit_high),
        "comparison": finding.comparison,
        "finding": finding.finding,
        "arithmetic": finding.arithmetic,
        "source": finding.source,
        "basis": finding.basis,
        "remark": finding.remark,
        "attempts": list(finding.attempts),
        "readings": list(readings_in(finding.method, finding.reading)) if finding.unit else [],
        "method": method_words(finding.method),
        "left_out": left_out_because(finding.method) or None,
    }


def _plain(value: str | int | bool | Decimal | date | tuple[str, ...] | None) -> JsonValue:
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, tuple):
        return list(value)
    return value.isoformat() if isinstance(value, date) else value
