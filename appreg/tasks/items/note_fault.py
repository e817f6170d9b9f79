"""Note a fault that whoever uses an item found on it: it goes out of service in the same step."""

from datetime import date
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.records.set_service_state import set_service_state

LONGEST_FAULT: Final = 200
"""Characters; the notes of an item hold more than one fault."""


def note_fault(register: Register, who: str, *, appliance: Uid, what: str, found_by: str = "", on: date) -> Appliance:
    """Withdraw the item, with the fault, its finder and the day in its notes; no inspection is recorded.

    Raises InputRefused where nothing is said of the fault, or the item is gone for good.
    """
    said, finder = clean(what, field="fault", longest=LONGEST_FAULT), clean(found_by, field="found by", longest=80)
    if not said:
        raise InputRefused(
            "nothing is said; write in a few words what is wrong with it.", subject="Fault", field="what"
        )
    item = register.get(Appliance, appliance)
    if item.state is ServiceState.DISPOSED:
        raise InputRefused(f"{item.tag} is disposed of; check the tag, the fault is another item's.")
    by = f" by {finder}" if finder else ""
    return set_service_state(
        register,
        who,
        appliance=appliance,
        state=ServiceState.WITHDRAWN,
        reason=f"fault found in use{by} on {date_words(on)}: {said}",
    )
