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
from appreg.tasks.items.weigh_issue import PastHouseLimit, ages_of_tests, past_limit_words


def record_movement(
    register: Register,
    who: str,
    *,
    appliance: Uid,
    movement: Movement,
    on: date,
    note: str = "",
    limit_days: int = 0,
    past_limit: bool = False,
) -> ItemMovement:
    """Record one movement; raises InputRefused where the item must not go, or where the day cannot be right.

    `limit_days` is how old its last test may be at issue, 0 any age; raises PastHouseLimit where it is older, unless
    with `past_limit` a person wants it issued all the same, which the journal then says.
    """
    (moved,) = record_movements(
        register,
        who,
        appliances=[appliance],
        movement=movement,
        on=on,
        note=note,
        limit_days=limit_days,
        past_limit=past_limit,
    )
    return moved


def record_movements(
    register: Register,
    who: str,
    *,
    appliances: Sequence[Uid],
    movement: Movement,
    on: date,
    note: str = "",
    limit_days: int = 0,
    past_limit: bool = False,
) -> tuple[ItemMovement, ...]:
    """Record the same movement of several items, as record_movement(): all of them or none."""
    said = clean(note, field="note")

    def past() -> str:
        is_issue = movement is Movement.ISSUED and limit_days > 0
        items = appliances if is_issue else ()
        return past_limit_words(ages_of_tests(register, appliances=items, on=on, limit_days=limit_days))

    wanted = past() if past_limit else ""
    with register.change(who, f"{movement}, past the limit: {wanted}" if wanted else f"{movement}") as change:
        moved = []
        for uid in appliances:
            item = register.get(Appliance, uid)
            _refuse_wrong_order(register, item, movement, on)
            if movement is Movement.ISSUED:
                refuse_unfit(register, item, on)
            moved.append(ItemMovement(uid=change.new_uid(), appliance=uid, movement=movement, on=on, note=said))
            change.put(moved[-1])
        # Within the change: a test that is taken back meanwhile is none.
        if not past_limit and (older := past()):
            raise PastHouseLimit(f"Nothing was issued. {older}; inspect and test first, or issue it all the same.")
    return tuple(moved)


def _refuse_wrong_order(register: Register, item: Appliance, movement: Movement, on: date) -> None:
    events = events_of(register, item)
    if movement is Movement.ISSUED and events.is_out:
        raise InputRefused(f"{item.tag} is out already; record first that it came back.")
    if events.moved and on < events.moved[-1][1].on:
        last = date_words(events.moved[-1][1].on)
        raise InputRefused(f"{item.tag} was last moved on {last}; give that day or a later one.")


def refuse_unfit(register: Register, item: Appliance, on: date) -> None:
    """Raise InputRefused where an item must not be issued on a day: out of service, overdue, or an inspection is missing."""
    if item.state is not ServiceState.IN_SERVICE:
        raise InputRefused(f"{item.tag} is {item.state}, not in service; it must not be issued.")
    if is_item_overdue(item, on):
        due = min(day for day in (item.next_visual, item.next_test) if day)
        raise InputRefused(f"{item.tag} must not be issued: it is overdue since {date_words(due)}; inspect it first.")
    missing = blocks_of(register, item)
    if missing:
        raise InputRefused(f"{item.tag} must not be issued: {missing[0].because}; inspect it first.")
