"""Check that items show what their inspections come to."""

from collections.abc import Iterator, Sequence

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, LabelKind, QueuedLabel
from appreg.core.values.dates_in_words import date_words
from appreg.errors import RegisterUnusable
from appreg.register.engine.register_problems import Problem
from appreg.register.lists.inspection_lists import saved_inspections_by_item
from appreg.register.opening.register_file import Register
from appreg.tasks.standing.settle_standing import Standing, standing_among


def contradictions(item: Appliance, standing: Standing, waiting: Sequence[QueuedLabel]) -> tuple[tuple[str, str], ...]:
    """What an item shows that its inspections do not bear out: the column, and what is wrong in words.

    `waiting` are its labels that are not printed yet.
    """
    found = []
    if (item.last_inspection, item.last_outcome, item.last_date) != standing.shown:
        found.append(("last_outcome", f"it shows {_shown(item)}, but its inspections come to {result_words(standing)}"))
    if standing.failed_on is not None:
        since = f"although its failure of {date_words(standing.failed_on)} stands"
        if item.state is ServiceState.IN_SERVICE:
            found.append(("state", f"it is in service {since}"))
        if any(label.kind is LabelKind.PASS for label in waiting):
            found.append(("last_outcome", f"a pass label waits for it {since}"))
    return tuple(found)


def standing_problems(register: Register) -> Iterator[Problem]:
    """Every item that shows another result than its inspections come to."""
    try:
        labels: dict[str, list[QueuedLabel]] = {}
        for label in register.find(QueuedLabel, printed_on=None):
            labels.setdefault(label.appliance, []).append(label)
        for appliance, known in saved_inspections_by_item(register):
            for item in register.find(Appliance, uid=appliance):
                standing = standing_among(known)
                for column, what in contradictions(item, standing, labels.get(appliance, ())):
                    yield Problem(
                        table="appliance", row=appliance, column=column,
                        sentence=f"appliance {item.tag}: {what}; inspect it again before it is used.",
                    )  # fmt: skip
    except RegisterUnusable as damage:
        yield Problem(table="inspection", sentence=str(damage))


def _shown(item: Appliance) -> str:
    if item.last_outcome is None or item.last_date is None:
        return "no result"
    return f"{item.last_outcome} of {date_words(item.last_date)}"


def result_words(standing: Standing) -> str:
    """What an item's inspections come to, with the day: fail of 3 May 2024."""
    _, outcome, on = standing.shown
    if outcome is not None and on is not None:
        return f"{outcome} of {date_words(on)}"
    return "no result" if on is None else f"no result, but what another states of {date_words(on)}"
