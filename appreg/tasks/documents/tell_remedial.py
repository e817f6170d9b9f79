"""Tell what failed and is not put right, and what to bring for it: fuses by size, repairs by check."""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, AssetTag, Category, FindingRecord, Inspection
from appreg.core.records.stated_words import failure_words
from appreg.core.records.work_records import RemedialAction
from appreg.core.rules.fuse_advice import fuse_to_fit
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.told_tables import CellKind, Row, TableColumn, ToldTable, one_group
from appreg.core.values.uids import Uid
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.item_words import check_words, failing_words, plain, plate_words
from appreg.paper.documents.list_content import ListDocument
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.lists.evidence_rows import items_ever
from appreg.register.lists.inspection_lists import findings_of
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.tell_sites import PLACE, by_place, date_form_of, place_of, title_of
from appreg.tasks.inspecting.list_repairs import put_right_by
from appreg.tasks.standing.stated_failures import StatedFailure, stated_failures

_NOTHING_DONE: Final = "nothing recorded"
_COLUMNS: Final = (
    TableColumn(name="tag", head="tag", kind=CellKind.TAG, weight=20),
    TableColumn(name="item", head="item", weight=50),
    TableColumn(name="failed", head="failed", kind=CellKind.DATE, weight=20),
    TableColumn(name="what", head="what failed", weight=66),
    TableColumn(name="by", head="put right by", kind=CellKind.DATE, weight=20),
    TableColumn(name="told", head="told", weight=26),
    TableColumn(name="repair", head="repair", weight=40, loud=(_NOTHING_DONE,)),
    TableColumn(name="repaired", head="repaired on", kind=CellKind.DATE, weight=20),
)
_MATERIALS: Final = (
    TableColumn(name="what", head="what", weight=50),
    TableColumn(name="number", head="number", kind=CellKind.NUMBER, weight=12),
    TableColumn(name="tags", head="for", weight=80),
)
_OF_FUSES: Final = (
    "Fuses are for items in service whose plug fuse was read and is larger than power or cord allow by the site's rule "
    "book; a motor may need more to start: the maker's instructions come first."
)
_OF_REPAIRS: Final = "Repaired items are to be inspected and tested again before anybody uses them."


class _Failure(Struct, frozen=True, kw_only=True):
    """A failure that is not put right, with its item."""

    item: Appliance
    key: Uid
    on: date
    why: str
    """Each check that failed with its reading and limit, and what was remarked; or that another states it."""
    checks: tuple[str, ...] = ()
    """The checks that failed; none where another states it."""
    told: str = ""
    repair: str = ""
    repaired_on: date | None = None


def remedial_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """Every failure that has not passed again, by place, and what to bring; raises RegisterUnusable."""
    refuse_stray_records(register)
    rules, one_site = RuleFinder(register), asked.site is not None
    failures = _failures(register, asked.site)

    def row(failure: _Failure) -> Row:
        item = failure.item
        named = " · ".join(part for part in (item.name, plate_words(item)) if part)
        by = put_right_by(rules.profile(item), item, failure.on)
        repair = failure.repair or _NOTHING_DONE
        return item.tag, named, failure.on, failure.why, by, failure.told, repair, failure.repaired_on

    table = ToldTable(
        title="To be put right",
        columns=_COLUMNS,
        grouped_by=PLACE,
        groups=by_place(failures, lambda each: place_of(rules, each.item, one_site=one_site), row),
        none="no failure waits to be put right",
    )
    items = len({each.item.uid for each in failures})
    waiting = sum(not each.repair for each in failures)
    return ListDocument(
        kind="Remedial list",
        title=title_of(register, asked.site),
        subtitle="Failures that have not passed again: do not use these items",
        counts=(
            (items, "item to be put right" if items == 1 else "items to be put right"),
            (len(failures), "failure" if len(failures) == 1 else "failures"),
            (waiting, "without a repair on record"),
        ),
        tables=(table, _materials(register, rules, failures, asked.site)),
        after=(_OF_REPAIRS, _OF_FUSES),
        across=True,
        dates=date_form_of(register, asked.site),
        printed=today,
    )


def materials_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """The quantities of the remedial list alone; raises RegisterUnusable."""
    refuse_stray_records(register)
    table = _materials(register, RuleFinder(register), _failures(register, asked.site), asked.site)
    return ListDocument(
        kind="Materials and repairs",
        title=title_of(register, asked.site),
        tables=(table,),
        after=(_OF_REPAIRS, _OF_FUSES),
        dates=date_form_of(register, asked.site),
        printed=today,
    )


def _failures(register: Register, site: Uid | None) -> list[_Failure]:
    """One for each open action, since an item may have failed of more than one thing, and for each that another states.

    Those disposed of are left out.
    """
    found = ((register.get(Appliance, each.appliance), each) for each in register.find(RemedialAction, closed_by=None))
    failures = [
        _found(register, item, action)
        for item, action in found
        if item.state is not ServiceState.DISPOSED and site in {None, item.site}
    ]
    failures += [_stated(each) for each in stated_failures(register, site=site)]
    return sorted(failures, key=lambda each: (tag_order(each.item.tag), each.on, each.key))


def _found(register: Register, item: Appliance, action: RemedialAction) -> _Failure:
    findings = findings_of(register, action.inspection)
    return _Failure(
        item=item,
        key=action.uid,
        on=action.opened_on,
        why=_why(register, item, action, findings),
        checks=tuple(each.check_name for each in findings if each.finding == CheckResult.FAIL),
        told=action.told,
        repair=action.repair,
        repaired_on=action.repaired_on,
    )


def _stated(failure: StatedFailure) -> _Failure:
    stated = failure.stated
    return _Failure(item=failure.item, key=stated.uid, on=stated.on, why=failure_words(stated))


def _materials(register: Register, rules: RuleFinder, failures: list[_Failure], site: Uid | None) -> ToldTable:
    wanted: dict[str, list[str]] = {}
    for tag, size in sorted(_fuses(register, rules, site), key=lambda each: (each[1], tag_order(each[0]))):
        wanted.setdefault(size, []).append(tag)
    for failure in (each for each in failures if not each.repair):
        for check in failure.checks:
            tags = wanted.setdefault(f"repair: {check_words(check)}", [])
            if failure.item.tag not in tags:
                tags.append(failure.item.tag)
    rows = tuple((what, len(tags), ", ".join(tags)) for what, tags in wanted.items())
    return ToldTable(title="To bring", columns=_MATERIALS, groups=one_group(rows), none="nothing is to be brought")


def _why(register: Register, item: Appliance, action: RemedialAction, findings: Iterable[FindingRecord]) -> str:
    inspection = register.get(Inspection, action.inspection)
    found = InspectedItem(appliance=item, location="", inspection=inspection, findings=tuple(findings))
    return "; ".join(part for part in (failing_words(found) or action.what, inspection.remarks) if part)


def _fuses(register: Register, rules: RuleFinder, site: Uid | None) -> Iterator[tuple[AssetTag, str]]:
    """The tag of each item in service whose fuse is too large, and the fuse it should have."""
    categories = {each.uid: each for each in register.find(Category)}
    for item in appliances_of(register, site=site) if site else items_ever(register):
        if item.state is ServiceState.IN_SERVICE and item.fuse_a is not None:
            book = load_rule_book(rules.site(item.site).rule_book)
            size = fuse_to_fit(facts_of(item, categories.get(item.category) if item.category else None), book)
            if size is not None:
                yield item.tag, f"fuse, {plain(size)} A"
