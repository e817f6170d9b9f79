"""The item of a line that is due, as it stands beside the list."""

from collections.abc import Iterator

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.schedule.due_states import DueState
from appreg.tasks.standing.due_lines import DueLine
from appreg.ui.widgets.beside import BesideLine


def due_item_lines(line: DueLine) -> tuple[BesideLine, ...]:
    """What waits and why, then the item itself."""
    return tuple(_lines(line))


def _lines(line: DueLine) -> Iterator[BesideLine]:
    item = line.appliance
    late = line.state is DueState.OVERDUE
    due = f"due {date_words(line.due)}" if line.due else "never inspected"
    days = f", {_days(-line.days)} overdue" if late and line.days else ""
    yield BesideLine(f"{DUE_WORDS[line.what]} {due}{days}", "$fail" if late else "$doubt")
    yield BesideLine(line.because)
    yield BesideLine(f"{line.site.name}, {line.location.name}")
    yield BesideLine(f"{item.appliance_class.label}, {item.equipment_type.label}")
    made = " ".join(part for part in (item.make, item.model) if part)
    if made:
        yield BesideLine(made)
    if item.serial:
        yield BesideLine(f"serial {item.serial}")
    if item.last_date:
        outcome = f": {item.last_outcome.value}" if item.last_outcome else ""
        yield BesideLine(f"last inspected {date_words(item.last_date)}{outcome}", "$quiet")
    for what, day in (("next look", item.next_visual), ("next test", item.next_test)):
        if day:
            yield BesideLine(f"{what} {date_words(day)}", "$quiet")
    if item.notes:
        yield BesideLine(item.notes, "$quiet")


def _days(number: int) -> str:
    return "1 day" if number == 1 else f"{number} days"
