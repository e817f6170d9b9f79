"""Record that an item goes out, comes back or comes to a site; what blocks it keeps it from going out."""

from collections.abc import Sequence
from datetime import date

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.core.records.work_records import ItemMovement, Movement
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import is_item_overdue
from appreg.tasks.items.list_blocked import blocks_of, events_of


def record_movement(
    register: Register, who: str, *, appliance: Uid, movement: Movement, on: date, note: str = ""
) -> ItemMovement:
    """Record one movement; raises InputRefused where the item must not go, or where the day cannot be right."""
    said = clean(note, field="note")
    with register.change(who, f"{movement}") as change:
        item = register.get(Appliance, appliance)
        _refuse_wrong_order(register, item, movement, on)
        if movement is Movement.ISSUED:
            _refuse_unfit(register, item, on)
        moved = ItemMovement(uid=change.new_uid(), appliance=appliance, movement=movement, on=on, note=said)
        change.put(moved)
    return moved


def record_movements(
    register: Register, who: str, *, appliances: Sequence[Uid], movement: Movement, on: date, note: str = ""
) -> tuple[ItemMovement, ...]:
    """Record the same movement of several items: all of them or none."""
    with register.change(who, f"{movement}"):
        return tuple(
            record_movement(register, who, appliance=item, movement=movement, on=on, note=note) for item in appliances
        )


def _refuse_wrong_order(register: Register, item: Appliance, movement: Movement, on: date) -> None:
    events = events_of(register, item)
    if movement is Movement.ISSUED and events.is_out:
        raise InputRefused(f"{item.tag} is out already; record first that it came back.")
    if events.moved and on < events.moved[-1][1].on:
        last = date_words(events.moved[-1][1].on)
        raise InputRefused(f"{item.tag} was last moved on {last}; give that day or a later one.")


def _refuse_unfit(register: Register, item: Appliance, on: date) -> None:
    if item.state is not ServiceState.IN_SERVICE:
        raise InputRefused(f"{item.tag} is {item.state}, not in service; it must not be issued.")
    if is_item_overdue(item, on):
        due = min(day for day in (item.next_visual, item.next_test) if day)
        raise InputRefused(f"{item.tag} must not be issued: it is overdue since {date_words(due)}; inspect it first.")
    missing = blocks_of(register, item)
    if missing:
        raise InputRefused(f"{item.tag} must not be issued: {missing[0].because}; inspect it first.")
