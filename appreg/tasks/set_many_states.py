"""Withdraw many items at once, or report them missing: all of them or none."""

from collections.abc import Sequence

from appreg.core.appliances import ServiceState
from appreg.core.records import Appliance
from appreg.core.uids import Uid
from appreg.register.register_file import Register
from appreg.tasks.merge_changes import refuse_changed_since
from appreg.tasks.set_service_state import set_service_state


def set_many_states(
    register: Register,
    who: str,
    *,
    appliances: Sequence[Uid],
    state: ServiceState,
    reason: str = "",
    since: int | None = None,
) -> tuple[Appliance, ...]:
    """Set the state of each item in one transaction; raises what set_service_state raises.

    `since` is the end of the journal when it was asked for; raises ChangedMeanwhile where a state changed after it.
    """
    with register.change(who):
        refuse_changed_since(register, since, appliances, "state")
        return tuple(
            set_service_state(register, who, appliance=uid, state=state, reason=reason)
            for uid in dict.fromkeys(appliances)
        )
