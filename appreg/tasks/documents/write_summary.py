"""Write the one-page summary of a site for its duty holder."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Client, Inspection, Location, Person, Site
from appreg.core.records.stated_words import BY_ANOTHER
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import MONTHS, DateForm, date_words
from appreg.core.values.uids import Uid
from appreg.files import refuse_place, write_whole
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.summary_content import DutySummary, SummaryMonth
from appreg.progress import Progress
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import is_item_overdue, waited_dates
from appreg.tasks.desk.find_rules import profile_at
from appreg.tasks.documents.gather_documents import present_state
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.inspecting.list_repairs import put_right_by
from appreg.tasks.standing.settle_standing import read_standing

_MONTHS: Final = 12
_SOON: Final = 30


class _Failed:
    """An item whose failure stands."""

    def __init__(self, item: Appliance, on: date, by: date | None, *, is_stated: bool) -> None:
        self.item, self.on, self.by, self.is_stated = item, on, by, is_stated


def write_summary_asked(
    register: Register,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,  # noqa: ARG001 - one page is drawn at once
) -> DocumentSummary:
    """Write the page; a file that is there gives way only with `replace`.

    Raises NotFound, InputRefused for a bad file, RegisterUnusable where a record is damaged.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.summary_document import drawn_summary  # noqa: PLC0415 - drawing costs others dearly

    drawn = drawn_summary(duty_summary(register, asked.of_site(), today=today))
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def duty_summary(register: Register, site: Uid, *, today: date) -> DutySummary:
    """All that the page shows; items disposed of are left out."""
    refuse_stray_records(register)
    state = present_state(register, today)
    place = register.get(Site, site)
    book = load_rule_book(place.rule_book)
    duty = profile_at(place, book)
    items = [each for each in appliances_of(register, site=site) if each.state is not ServiceState.DISPOSED]
    rooms = {each.uid: each.name for each in register.find(Location, site=site)}
    failed = [
        _Failed(item, failed_on, put_right_by(duty, item, failed_on), is_stated=standing.failure is None)
        for item in items
        if item.last_date and (failed_on := (standing := read_standing(register, item.uid)).failed_on)
    ]
    overdue = sorted((item for item in items if is_item_overdue(item, today)), key=_first_due)
    return DutySummary(
        site=place,
        client=register.get(Client, place.client),
        counts=_counts(items, failed, overdue),
        to_do=tuple(_to_do(items, failed, overdue, today, book.date_form)),
        months=_months(items, today),
        failed=tuple(_failed_line(each, rooms, book.date_form) for each in failed),
        overdue=tuple(
            f"{item.tag}  {item.name}, {rooms[item.location]}: since {date_words(_first_due(item), book.date_form)}"
            for item in overdue
        ),
        last_visit=_last_visit(register, items, book.date_form),
        duty=duty.title if duty else "",
        dates=book.date_form,
        printed=today,
        state=state,
    )


def _first_due(item: Appliance) -> date:
    return min((due for due in waited_dates(item) if due), default=date.max)


def _never(items: Sequence[Appliance]) -> int:
    return sum(item.last_date is None and item.state is ServiceState.IN_SERVICE for item in items)


def _counts(
    items: Sequence[Appliance], failed: Sequence[_Failed], overdue: Sequence[Appliance]
) -> tuple[tuple[int, str], ...]:
    return (
        (len(items), "item" if len(items) == 1 else "items"),
        (len(failed), "failed"),
        (len(overdue), "overdue"),
        (_never(items), "never inspected"),
        (sum(item.state is ServiceState.WITHDRAWN for item in items), "withdrawn from use"),
        (sum(item.state is ServiceState.MISSING for item in items), "missing"),
    )


def _to_do(
    items: Sequence[Appliance],
    failed: Sequence[_Failed],
    overdue: Sequence[Appliance],
    today: date,
    dates: DateForm,
) -> Iterator[tuple[str, str]]:
    if failed:
        yield "now", f"keep {counted(len(failed), 'failed item')} out of use; put right and tested again, or scrapped"
    first = min((each.by for each in failed if each.by), default=None)
    if first is not None:
        late = " (past)" if first < today else ""
        yield f"by {date_words(first, dates)}{late}", "the duty wants the first of them put right"
    if overdue:
        yield "now", f"have {counted(len(overdue), 'overdue item')} inspected"
    if never := _never(items):
        yield "now", f"have {counted(never, 'item')} inspected that never were"
    missing = sum(item.state is ServiceState.MISSING for item in items)
    if missing:
        yield "now", f"look for {counted(missing, 'missing item')}"
    soon = [day for item in items if (day := _first_due(item)) >= today and day <= today + timedelta(days=_SOON)]
    if soon:
        yield f"by {date_words(min(soon), dates)}", f"the first of {counted(len(soon), 'item')} due within {_SOON} days"
    later = [day for item in items if (day := _first_due(item)) > today + timedelta(days=_SOON) and day < date.max]
    if later:
        yield f"by {date_words(min(later), dates)}", f"the first of {counted(len(later), 'item')} due later"


def _months(items: Sequence[Appliance], today: date) -> tuple[SummaryMonth, ...]:
    """How many inspections fall due from today on, by month; what is overdue is in none of them."""
    count: dict[tuple[int, int], list[int]] = {}
    for item in items:
        for which, due in enumerate(waited_dates(item)):
            if due is not None and due >= today:
                count.setdefault((due.year, due.month), [0, 0])[which] += 1
    months = [divmod(today.year * 12 + today.month - 1 + step, 12) for step in range(_MONTHS)]
    return tuple(
        SummaryMonth(month=f"{MONTHS[month]} {year % 100:02d}", looks=looks, tests=tests)
        for year, month in months
        for looks, tests in [count.get((year, month + 1), [0, 0])]
    )


def _failed_line(each: _Failed, rooms: dict[Uid, str], dates: DateForm) -> str:
    by = f"; put right by {date_words(each.by, dates)}" if each.by else ""
    item = each.item
    on = f"{date_words(each.on, dates)}{f', {BY_ANOTHER}' if each.is_stated else ''}"
    return f"{item.tag}  {item.name}, {rooms[item.location]}: failed on {on}, {item.state}{by}"


def _last_visit(register: Register, items: Sequence[Appliance], dates: DateForm) -> str:
    latest = max(
        (item for item in items if item.last_inspection), key=lambda item: item.last_date or date.min, default=None
    )
    if latest is None or latest.last_inspection is None:
        return ""
    inspection = register.get(Inspection, latest.last_inspection)
    person = register.get(Person, inspection.person)
    return ", ".join(part for part in (date_words(inspection.date, dates), person.name, person.firm) if part)
