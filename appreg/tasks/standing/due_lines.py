"""One line of what is due: an inspection of an item, or its repair."""

from datetime import date
from typing import Literal

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.schedule.due_states import DueState


class DueLine(Struct, frozen=True, kw_only=True):
    """One inspection that is due of one item, or a failure that must be put right by a day."""

    appliance: Appliance
    site: Site
    location: Location
    what: Literal["visual", "test", "repair"]
    failure: str = ""
    """Of a repair the key of what is to be put right: an item may wait for several."""
    due: date | None
    """None: never inspected."""
    state: DueState
    days: int | None
    """Days from today, negative when overdue."""
    because: str
    """The row of the interval table and its figure, or the failure and the duty."""
