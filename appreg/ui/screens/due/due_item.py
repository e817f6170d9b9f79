"""The item of a line that is due, as it stands beside the list."""

from collections.abc import Iterator
from typing import Final

from appreg.core.records.stated_words import is_only_stated, outcome_words
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.schedule.due_states import DueState, nothing_due, waited_dates
from appreg.tasks.standing.due_lines import DueLine
from appreg.ui.widgets.beside import BesideLine

_LATE: Final = frozenset({DueState.OVERDUE, DueState.REPAIR_LATE})


def due_item_lines(line: DueLine) -> tuple[BesideLine, ...]:
    """What waits and why, then the item itself."""
    return tuple(_lines(line))


def _lines(line: DueLine) -> Iterator[BesideLine]:
    item = line.appliance
    late = line.state in _LATE
    due = f"due {date_words(line.due)}" if line.due else "never inspected"
    yield BesideLine(f"{DUE_WORDS[line.what]} {due}", "$fail" if late else "$doubt")
    if late and line.days:
        yield BesideLine(f"{counted(-line.days, 'day')} {_late_word(line)}", "$fail")
    yield BesideLine(line.because)
    yield BesideLine(f"{line.site.name}, {line.location.name}")
    yield BesideLine(f"{item.appliance_class.label}, {item.equipment_type.label}")
    made = " ".join(part for part in (item.make, item.model) if part)
    if made:
        yield BesideLine(made)
    if item.serial:
        yield BesideLine(f"serial {item.serial}")
    if is_only_stated(item):
        yield BesideLine(outcome_words(item), "$doubt")
    elif item.last_date:
        outcome = f": {item.last_outcome.value}" if item.last_outcome else ""
        yield BesideLine(f"last inspected {date_words(item.last_date)}{outcome}", "$quiet")
    if nothing := nothing_due(item.state):
        yield BesideLine(nothing, "$quiet")
    for what, day in zip(("next look", "next test"), waited_dates(item), strict=True):
        if day:
            yield BesideLine(f"{what} {date_words(day)}", "$quiet")
    if item.notes:
        yield BesideLine(item.notes, "$quiet")


def _late_word(line: DueLine) -> str:
    """A repair is late: the inspections of its item, mostly withdrawn, are not overdue."""
    return "late" if line.state is DueState.REPAIR_LATE else "overdue"
