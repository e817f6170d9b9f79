"""Change one thing of many items at once: all of them or none."""

from collections.abc import Callable, Sequence

from appreg.core.lean_dataclasses import replace
from appreg.core.records import Appliance, Location
from appreg.core.uids import Uid
from appreg.errors import AppregError
from appreg.register.register_file import Register
from appreg.tasks.change_record import change_record
from appreg.tasks.merge_changes import refuse_changed_since

Progress = Callable[[int, int], bool]


class ChangeStopped(AppregError):
    """The person stopped a change of many items; none of them was changed."""

    exit_code = 3


def move_items(
    register: Register,
    who: str,
    *,
    appliances: Sequence[Uid],
    location: Uid,
    since: int | None = None,
    progress: Progress | None = None,
) -> int:
    """Move items to a location, which may be at another site; their next dates follow the rules there.

    `since` is the end of the journal when the items were chosen; raises ChangedMeanwhile where one was moved after it.
    """
    place = register.get(Location, location)
    with register.change(who):
        refuse_changed_since(register, since, appliances, "location")
        return _changed(
            register, who, appliances, lambda item: replace(item, site=place.site, location=location), progress
        )


def set_category(
    register: Register,
    who: str,
    *,
    appliances: Sequence[Uid],
    category: Uid | None,
    since: int | None = None,
    progress: Progress | None = None,
) -> int:
    """Set the category of items, or none; what their plates say stays as it is. `since` as in move_items."""
    with register.change(who):
        refuse_changed_since(register, since, appliances, "category")
        return _changed(register, who, appliances, lambda item: replace(item, category=category), progress)


def _changed(
    register: Register,
    who: str,
    appliances: Sequence[Uid],
    change: Callable[[Appliance], Appliance],
    progress: Progress | None,
) -> int:
    with register.change(who):
        for done, uid in enumerate(appliances):
            if progress is not None and not progress(done, len(appliances)):
                raise ChangeStopped(f"Stopped after {done} of {len(appliances)} items; nothing was changed.")
            change_record(register, who, change(register.get(Appliance, uid)))
    return len(appliances)
