"""`appreg show`: one item with its rules and all that was recorded of it."""

import argparse
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.json_values import with_own_fields
from appreg.cli.opening import opened
from appreg.clock import local_today

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from appreg.cli.shapes.item_shapes import ItemPageAnswer
    from appreg.core.records.kept_records import Appliance, FindingRecord, StatedInspection
    from appreg.tasks.inspecting.open_bench import PastInspection
    from appreg.tasks.items.show_item import ItemPage


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("tag", metavar="TAG", help="the tag in any case, the key, or what the label's code says")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Show it; exit code 1 where no item has that tag, or something of it is damaged."""
    from appreg.tasks.items.show_item import show_item  # noqa: PLC0415 - a help text needs no register

    with opened(args, console) as register:
        page = show_item(register, args.tag, today=local_today())
    damage = (
        f"{page.appliance.tag} or its inspections are damaged, so no result of it is sure, least of all a pass; "
        "run `appreg verify`."
    )
    if args.json:
        console.json(_as_json(page, [*register.damage.sentences, *([damage] if page.damaged else [])]))
    else:
        _show(page, console)
    if page.damaged:
        console.complain_of_damage(damage)
    return ExitCode.FINE


def _as_json(page: "ItemPage", damaged: "Sequence[str]") -> "ItemPageAnswer":
    from appreg.cli.item_output import (  # noqa: PLC0415 - only where JSON is asked for
        blocks_as_json,
        inspection_as_json,
        interval_answer_as_json,
        item_as_json,
        stated_as_json,
    )

    item = page.appliance
    answer: ItemPageAnswer = {
        "format": "appreg.item",
        "version": 1,
        **item_as_json(item, page.site, page.location, page.category.name if page.category else None),
        "client": page.client.name,
        "assumed": list(page.assumed),
        "environment": page.environment,
        "visual_state": page.visual_state,
        "test_state": page.test_state,
        "interval": interval_answer_as_json(page.answer, longer=bool(item.longer_interval_reason)),
        "overrides": [
            {
                "interval": each.what,
                "period": each.period,
                "set_for": each.scope,
                "by": each.author,
                "on": each.on.isoformat(),
                "reason": each.reason,
                "signed_by_duty_holder": each.signed_by_duty_holder,
                "signed_by": each.signed_by,
                "signed_on": each.signed_on.isoformat() if each.signed_on else None,
            }
            for each in page.overrides
        ],
        "blocked": blocks_as_json(page.blocks),
        "from_elsewhere": list(page.from_elsewhere),
        "damaged": list(damaged),
        "latest": inspection_as_json(page.latest) if page.latest else None,
        "history": [inspection_as_json(each) for each in page.history],
        "stated": [stated_as_json(each) for each in page.stated],
    }
    return with_own_fields(answer, item)


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
    if page.nothing_due:
        console.line(page.nothing_due)
    else:
        console.line(f"next look {_day(item.next_visual, page.visual_state)}")
        console.line(f"next test {_day(item.next_test, page.test_state)}")
    for override in page.overrides:
        console.line(f"{override.what} every {parse_period(override.period).words}, {override_words(override)}")
    for block in page.blocks:
        console.line(f"not to be issued or used: {block.because} ({block.event})")
    for words in page.from_elsewhere:
        console.line(words)
    for past in page.history:
        _show_inspection(past, console)
    for stated in page.stated:
        _show_stated(stated, console)
    if not page.history and not page.stated:
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
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs no register

    return f"{date_words(day)}, {state}" if day else str(state)


def _show_inspection(past: "PastInspection", console: Console) -> None:
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs no register

    inspection = past.inspection
    kind = "inspection and test" if inspection.kind == "combined" else "visual inspection"
    said = " (corrected since)" if past.superseded else " (taken back since)" if past.taken_back else ""
    by = f"{past.person.name}, {past.instrument.name}" if past.instrument else past.person.name
    console.line()
    console.line(f"{date_words(inspection.date)} {kind}: {inspection.outcome.upper()}{said}, {by}")
    console.table(
        ("  check", "reading", "limit", "finding", "arithmetic"),
        ([f"  {each.check_name}", _figure(each), _limit(each), _came_to(each), _why(each)] for each in past.findings),
    )
    for advice in inspection.advice:
        console.line(f"  advice: {advice}")
    if inspection.remarks:
        console.line(f"  {inspection.remarks}")


def _show_stated(stated: "StatedInspection", console: Console) -> None:
    from appreg.core.records.stated_words import stated_words  # noqa: PLC0415 - a help text needs no register

    console.line()
    console.line(stated_words(stated))
    console.line(f"  from {stated.source}, line {stated.line}")
    if stated.remarks:
        console.line(f"  {stated.remarks}")


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
