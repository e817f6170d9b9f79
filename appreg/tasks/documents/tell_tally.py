"""Tell how many inspections and tests of which kind were made, for an invoice."""

from collections import Counter
from collections.abc import Iterator
from datetime import date
from typing import Final

from appreg.core.judging.methods import left_out_because
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Site, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.told_tables import CellKind, TableColumn, TableGroup, ToldTable, one_group
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.paper.documents.item_words import CHECK_WORDS, NEXT_WORDS, check_words
from appreg.paper.documents.list_content import ListDocument
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.lists.inspection_lists import findings_of, inspections_of_visit
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.tell_sites import date_form_of, title_of
from appreg.tasks.inspecting.choose_visit import visits_of

_WORK: Final = {
    InspectionKind.VISUAL: NEXT_WORDS["visual"].removeprefix("next "),
    InspectionKind.COMBINED: NEXT_WORDS["test"].removeprefix("next "),
}
_SITE: Final = TableColumn(name="site", head="site")
_COLUMNS: Final = (
    TableColumn(name="work", head="what was done", weight=40),
    TableColumn(name="class_and_type", head="class and type", weight=40),
    TableColumn(name="items", head="items", kind=CellKind.NUMBER, weight=12),
    TableColumn(name="inspections", head="inspections", kind=CellKind.NUMBER, weight=16, summed=True),
)
_CHECKS: Final = (
    TableColumn(name="check", head="check", weight=60),
    TableColumn(name="times", head="times made", kind=CellKind.NUMBER, weight=20),
)
_AFTER: Final = (
    "An inspection counts on the day it was made; one that was corrected counts once, as corrected.",
    "One that was taken back does not count. An item inspected several times is one item and several inspections.",
)
_Done = tuple[Uid, InspectionKind, str]
"""Site, what was done, and the class and type of the item."""


def tally_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """Inspections that count, by site, kind, class and type, and how often each check was made.

    Raises InputRefused where the first day comes after the last, RegisterUnusable.
    """
    refuse_stray_records(register)
    since, until = asked.since, asked.until or today
    if since is not None and since > until:
        raise InputRefused(f"since: {date_words(since)} is after {date_words(until)}; exchange the two.", field="since")
    done: dict[_Done, list[Uid]] = {}
    checks: Counter[str] = Counter()
    site = register.get(Visit, asked.visit).site if asked.visit else asked.site
    for place, each in _inspections(register, asked, since, until):
        item = register.get(Appliance, each.appliance)
        kind = f"{item.appliance_class.label} · {item.equipment_type.label}"
        done.setdefault((place, each.kind, kind), []).append(item.uid)
        checks.update(_made(register, each))
    return ListDocument(
        kind="Quantities of work done",
        title=title_of(register, site),
        subtitle=_period(register, asked, since, until),
        tables=(_by_site(register, done), _by_check(checks)),
        after=_AFTER,
        dates=date_form_of(register, site),
        printed=today,
    )


def _inspections(register: Register, asked: Asked, since: date | None, until: date) -> Iterator[tuple[Uid, Inspection]]:
    visits = [register.get(Visit, asked.visit)] if asked.visit else visits_of(register, asked.site)
    for visit in visits:
        for each in inspections_of_visit(register, visit.uid):
            if (since is None or since <= each.date) and each.date <= until:
                yield visit.site, each


def _made(register: Register, inspection: Inspection) -> Iterator[str]:
    """The checks that were made: neither left undone nor left out."""
    for finding in findings_of(register, inspection.uid):
        if finding.finding != CheckResult.NOT_DONE and not left_out_because(finding.method):
            yield finding.check_name


def _period(register: Register, asked: Asked, since: date | None, until: date) -> str:
    if asked.visit:
        return f"Visit of {date_words(register.get(Visit, asked.visit).date)}"
    return f"{date_words(since)} to {date_words(until)}" if since else f"Until {date_words(until)}"


def _by_site(register: Register, done: dict[_Done, list[Uid]]) -> ToldTable:
    names = {uid: register.get(Site, uid).name for uid, *_ in done}
    ordered = sorted(done.items(), key=lambda each: (names[each[0][0]].casefold(), each[0]))
    groups: dict[Uid, list[tuple[str, str, int, int]]] = {}
    for (place, what, kind), items in ordered:
        groups.setdefault(place, []).append((_WORK[what], kind, len(set(items)), len(items)))
    return ToldTable(
        title="Inspections",
        columns=_COLUMNS,
        grouped_by=_SITE,
        groups=tuple(TableGroup(head=names[place], rows=tuple(rows)) for place, rows in groups.items()),
        none="nothing was inspected in that time",
    )


def _by_check(checks: Counter[str]) -> ToldTable:
    order = [check.value for check in CHECK_WORDS]
    made = sorted(checks.items(), key=lambda each: order.index(each[0]) if each[0] in order else len(order))
    rows = tuple((check_words(name), times) for name, times in made)
    return ToldTable(title="Checks", columns=_CHECKS, groups=one_group(rows), none="no check was made in that time")
