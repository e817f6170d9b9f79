"""`appreg show`: one item with its rules and all that was recorded of it."""

import argparse
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console, JsonValue
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened
from appreg.clock import local_today
from appreg.core.judging.methods import left_out_because, method_words, readings_in
from appreg.core.rules.item_facts import assumed_in, measured_in

if TYPE_CHECKING:
    from appreg.core.records.kept_records import Appliance, FindingRecord
    from appreg.core.rules.interval_tables import Interval
    from appreg.tasks.inspecting.open_bench import PastInspection
    from appreg.tasks.items.show_item import ItemPage

_RENAMED: Final = {"name": "item", "appliance_class": "class", "equipment_type": "type"}
_JOINED: Final = frozenset({"site", "location", "category"})
"""Keys of other records; the page gives their names."""


def appliance_as_json(item: "Appliance") -> dict[str, JsonValue]:
    """Every field of an item but the keys of where it stands; decimals as text, so that none is rounded."""
    return {
        _RENAMED.get(name, name): _plain(getattr(item, name)) for name in item.__struct_fields__ if name not in _JOINED
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
        "measured": list(measured_in(inspection.item_facts)),
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


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("tag", metavar="TAG", help="the tag in any case, the key, or what the label's code says")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Show it; exit code 1 where no item has that tag, or something of it is damaged."""
    from appreg.tasks.items.show_item import show_item  # noqa: PLC0415 - a help text needs no register

    with opened(args, console) as register:
        page = show_item(register, args.tag, today=local_today())
    if args.json:
        console.json(_as_json(page))
    else:
        _show(page, console)
    if page.damaged:
        console.complain_of_damage(
            f"{page.appliance.tag} or its inspections are damaged, so no result of it is sure, least of all a pass; "
            "run `appreg verify`."
        )
    return ExitCode.FINE


def _as_json(page: "ItemPage") -> JsonValue:
    return {
        **appliance_as_json(page.appliance),
        "site": page.site.name,
        "location": page.location.name,
        "client": page.client.name,
        "category": page.category.name if page.category else None,
        "assumed": [fact.value for fact in page.assumed],
        "environment": page.environment,
        "visual_state": page.visual_state.value,
        "test_state": page.test_state.value,
        "interval": {
            "user_check": interval_as_json(page.answer.user_check),
            "visual": interval_as_json(page.answer.visual),
            "test": interval_as_json(page.answer.test),
            "title": page.answer.title,
            "source": page.answer.citation.source,
            "basis": page.answer.citation.basis.value,
        },
        "overrides": [
            {
                "interval": each.what.value,
                "period": each.period,
                "set_for": each.scope.value,
                "by": each.author,
                "on": each.on.isoformat(),
                "reason": each.reason,
                "signed_by_duty_holder": each.signed_by_duty_holder,
            }
            for each in page.overrides
        ],
        "blocked": [{"event": each.event, "because": each.because} for each in page.blocks],
        "damaged": page.damaged,
        "latest": inspection_as_json(page.latest) if page.latest else None,
        "history": [inspection_as_json(each) for each in page.history],
    }


def _show(page: "ItemPage", console: Console) -> None:
    from appreg.core.values.periods import parse_period  # noqa: PLC0415 - a help text needs no rules
    from appreg.schedule.interval_overrides import override_words  # noqa: PLC0415

    item = page.appliance
    console.line(
        f"{item.tag}  {item.name}  {item.appliance_class.label} · {item.equipment_type.label}{_beside(item)} · {item.state}"
    )
    console.line(f"{page.site.name}, {page.location.name}, for {page.client.name}")
    console.line(_plate(page))
    if page.assumed:
        console.line(f"assumed, not read from the item: {', '.join(page.assumed)}")
    if item.measured:
        console.line(f"measured on the item: {', '.join(item.measured)}")
    console.line(f"rules: {page.site.rule_book}, {page.answer.title}")
    console.line(f"next visual {_day(item.next_visual, page.visual_state)}")
    console.line(f"next test   {_day(item.next_test, page.test_state)}")
    for override in page.overrides:
        console.line(f"{override.what} every {parse_period(override.period).words}, {override_words(override)}")
    for block in page.blocks:
        console.line(f"not to be issued or used: {block.because} ({block.event})")
    for past in page.history:
        _show_inspection(past, console)
    if not page.history:
        console.line("never inspected")


def _beside(item: "Appliance") -> str:
    from appreg.core.rules.item_facts import metal_and_earth_words  # noqa: PLC0415 - a help text needs no rules

    said = metal_and_earth_words(item)
    return f" · {said}" if said else ""


def _plate(page: "ItemPage") -> str:
    item = page.appliance
    cord = f"cord {item.cord_csa_mm2} mm² × {item.cord_length_m} m" if item.cord_csa_mm2 and item.cord_length_m else ""
    said = [
        item.make,
        item.model,
        f"serial {item.serial}" if item.serial else "",
        cord or "cord not known",
        f"fuse {item.fuse_a} A" if item.fuse_a is not None else "",
        f"{item.power_w} W" if item.power_w is not None else "",
        "heating" if item.heating else "",
        "microwave" if item.microwave else "",
    ]
    return " · ".join(part for part in said if part)


def _day(day: "date | None", state: str) -> str:
    return f"{day.isoformat()}, {state}" if day else str(state)


def _show_inspection(past: "PastInspection", console: Console) -> None:
    inspection = past.inspection
    kind = "inspection and test" if inspection.kind == "combined" else "visual inspection"
    said = " (corrected since)" if past.superseded else ""
    by = f"{past.person.name}, {past.instrument.name}" if past.instrument else past.person.name
    console.line()
    console.line(f"{inspection.date.isoformat()} {kind}: {inspection.outcome.upper()}{said}, {by}")
    console.table(
        ("  check", "reading", "limit", "finding", "arithmetic"),
        ([f"  {each.check_name}", _figure(each), _limit(each), _came_to(each), _why(each)] for each in past.findings),
    )
    for advice in inspection.advice:
        console.line(f"  advice: {advice}")
    if inspection.remarks:
        console.line(f"  {inspection.remarks}")


def _figure(finding: "FindingRecord") -> str:
    from appreg.core.judging.methods import kept_readings  # noqa: PLC0415 - a help text needs no rules

    typed = kept_readings(finding.method, finding.reading)
    return f"{typed} {finding.unit}".strip() if typed else "-"


def _came_to(finding: "FindingRecord") -> str:
    from appreg.core.judging.methods import left_out_because  # noqa: PLC0415 - a help text needs no rules

    return "left-out" if left_out_because(finding.method) else finding.finding


def _why(finding: "FindingRecord") -> str:
    from appreg.core.judging.methods import method_words  # noqa: PLC0415 - a help text needs no rules

    return " · ".join(part for part in (method_words(finding.method), finding.arithmetic) if part)


def _limit(finding: "FindingRecord") -> str:
    low, high = finding.limit_low, finding.limit_high
    if low is not None and high is not None:
        return f"{low}–{high}"
    if high is not None:
        return f"≤ {high}"
    return f"≥ {low}" if low is not None else ""
