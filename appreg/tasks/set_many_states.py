"""Withdraw many items at once, or report them missing: all of them or none."""

from collections.abc import Iterable

from appreg.core.appliances import ServiceState
from appreg.core.records import Appliance
from appreg.core.uids import Uid
from appreg.register.register_file import Register
from appreg.tasks.set_service_state import set_service_state


def set_many_states(
    register: Register, who: str, *, appliances: Iterable[Uid], state: ServiceState, reason: str = ""
) -> tuple[Appliance, ...]:
    """Set the state of each item in one transaction; raises what set_service_state raises."""
    with register.change(who):
        return tuple(
            set_service_state(register, who, appliance=uid, state=state, reason=reason)
            for uid in dict.fromkeys(appliances)
        )
