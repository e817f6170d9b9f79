"""Items and their inspections as JSON."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from appreg.cli.json_values import day_text, limit_as_json, placed_item
from appreg.core.judging.methods import left_out_because, method_words, readings_in
from appreg.core.rules.item_facts import assumed_in, measured_in
from appreg.schedule.due_states import waited_dates

if TYPE_CHECKING:
    from appreg.cli.shapes.inspection_shapes import FindingShape, InspectionShape, StatedShape
    from appreg.cli.shapes.interval_shapes import IntervalAnswerShape, IntervalShape
    from appreg.cli.shapes.item_shapes import BlockShape, ItemsAnswer, ItemShape
    from appreg.core.records.kept_records import Appliance, FindingRecord, Location, Site, StatedInspection
    from appreg.core.rules.interval_tables import Interval, IntervalAnswer
    from appreg.register.opening.register_file import Register
    from appreg.schedule.blocks import Block
    from appreg.tasks.inspecting.open_bench import PastInspection
    from appreg.tasks.items.find_items import FoundItem


def item_as_json(item: "Appliance", site: "Site", location: "Location", category: str | None) -> "ItemShape":
    """An item as lists have it; of one that is not in service no inspection is waited for."""
    visual, test = waited_dates(item)
    return {
        **placed_item(item, site, location),
        "class": item.appliance_class,
        "type": item.equipment_type,
        "category": category,
        "make": item.make,
        "model": item.model,
        "serial": item.serial,
        "state": item.state,
        "last_date": day_text(item.last_date),
        "last_outcome": item.last_outcome,
        "next_visual": day_text(visual),
        "next_test": day_text(test),
    }


def items_answer(register: "Register", found: "Sequence[FoundItem]") -> "ItemsAnswer":
    """The items that were found or listed."""
    from appreg.core.records.kept_records import Category  # noqa: PLC0415 - only where JSON is asked for

    names: dict[str, str] = {each.uid: each.name for each in register.find_readable(Category)}
    return {
        "format": "appreg.items",
        "version": 1,
        "items": [
            item_as_json(each.appliance, each.site, each.location, names.get(each.appliance.category or ""))
            for each in found
        ],
        "damaged": list(register.damage.sentences),
    }


def interval_as_json(interval: "Interval | None", *, longer: bool = False) -> "IntervalShape | None":
    """An interval as ISO 8601 durations; None where none is needed."""
    if interval is None:
        return None
    chosen = interval.chosen(longer)
    return {
        "shortest": str(interval.shortest) if interval.shortest else None,
        "longest": str(interval.longest) if interval.longest else None,
        "chosen": str(chosen) if chosen else None,
        "when": list(interval.when),
        "by_hand": interval.by_hand or None,
    }


def interval_answer_as_json(answer: "IntervalAnswer", *, longer: bool) -> "IntervalAnswerShape":
    """What a table says of an item."""
    return {
        "user_check": interval_as_json(answer.user_check, longer=longer),
        "visual": interval_as_json(answer.visual, longer=longer),
        "test": interval_as_json(answer.test, longer=longer),
        "table": answer.table_id,
        "row": answer.title,
        "note": answer.note,
        "source": answer.citation.source,
        "edition": answer.citation.edition,
        "basis": answer.citation.basis,
    }


def blocks_as_json(blocks: "Sequence[Block]") -> "list[BlockShape]":
    """What must come before an item is issued or used."""
    return [{"what": each.kind, "event": each.event, "because": each.because} for each in blocks]


def inspection_as_json(past: "PastInspection") -> "InspectionShape":
    """One inspection with its findings."""
    inspection = past.inspection
    return {
        "uid": inspection.uid,
        "date": inspection.date.isoformat(),
        "kind": inspection.kind,
        "outcome": inspection.outcome,
        "missing": list(inspection.missing),
        "advice": list(inspection.advice),
        "remarks": inspection.remarks,
        "person": past.person.name,
        "instrument": past.instrument.serial if past.instrument else None,
        "rule_book": inspection.rule_book,
        "rule_book_version": inspection.rule_book_version,
        "supersedes": inspection.supersedes,
        "reason": inspection.reason,
        "superseded": past.superseded,
        "taken_back": past.taken_back,
        "assumed": list(assumed_in(inspection.item_facts)),
        "measured": list(measured_in(inspection.item_facts)),
        "findings": [_finding_as_json(each) for each in past.findings],
    }


def stated_as_json(stated: "StatedInspection") -> "StatedShape":
    """What somebody else states of an item."""
    return {
        "date": stated.on.isoformat(),
        "kind": stated.kind,
        "stated": stated.outcome,
        "words": stated.words,
        "next": day_text(stated.next_on),
        "by": stated.stated_by,
        "source": stated.source,
        "line": stated.line,
        "remarks": stated.remarks,
    }


def _finding_as_json(finding: "FindingRecord") -> "FindingShape":
    return {
        "check": finding.check_name,
        "reading": finding.reading,
        "readings": list(readings_in(finding.method, finding.reading)) if finding.unit else [],
        "unit": finding.unit,
        "limit": limit_as_json(finding.limit_low, finding.limit_high, finding.unit),
        "finding": finding.finding,
        "arithmetic": finding.arithmetic,
        "source": finding.source,
        "basis": finding.basis,
        "method": method_words(finding.method),
        "left_out": left_out_because(finding.method) or None,
        "assumed": None,
        "remark": finding.remark,
        "attempts": list(finding.attempts),
    }
