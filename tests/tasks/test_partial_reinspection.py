"""After a repair every check is made anew: whichever one is left out, the item stays out of use."""

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Entries
from appreg.core.values.outcomes import Outcome
from appreg.tasks.inspecting.record_repair import open_actions
from appreg.tasks.standing.queue_labels import waiting_labels
from tests.tasks.worked_site import TODAY, WorkedSite, combined

FAILURES = {
    "visual": combined(visual=False, earth="", insulation=""),
    "earth": combined(earth="0.5", insulation=""),
    "insulation": combined(insulation="0.3"),
    "functional": combined(functional=False),
}
LEFT_OUT = {
    "visual": replace(combined(), visual=None),
    "earth": combined(earth=""),
    "insulation": combined(insulation=""),
    "functional": replace(combined(), functional=None),
}


@pytest.mark.parametrize("failed", FAILURES)
@pytest.mark.parametrize("missing", LEFT_OUT)
def test_a_reinspection_that_leaves_a_check_out_returns_nothing(here: WorkedSite, failed: str, missing: str) -> None:
    kettle = here.kettle()
    assert here.record(kettle, FAILURES[failed]).inspection.outcome is Outcome.FAIL
    part = here.record(kettle, LEFT_OUT[missing])
    assert part.inspection.outcome is Outcome.INCOMPLETE
    assert (part.appliance.state, part.label, waiting_labels(here.register, today=TODAY)) == (
        ServiceState.WITHDRAWN,
        None,
        (),
    )
    assert [action.closed_by for action in open_actions(here.register, kettle.uid)] == [None]
    assert here.record(kettle, combined()).appliance.state is ServiceState.IN_SERVICE
    assert open_actions(here.register, kettle.uid) == ()


@pytest.mark.parametrize("failed", FAILURES)
def test_only_the_check_that_failed_made_anew_is_not_enough(here: WorkedSite, failed: str) -> None:
    kettle = here.kettle()
    here.record(kettle, FAILURES[failed])
    nothing = Entries()
    again = {
        "visual": replace(nothing, visual=True),
        "earth": replace(nothing, earth=combined().earth),
        "insulation": replace(nothing, insulation=combined().insulation),
        "functional": replace(nothing, functional=True),
    }[failed]
    saved = here.record(kettle, again)
    assert (saved.inspection.outcome, saved.appliance.state) == (Outcome.INCOMPLETE, ServiceState.WITHDRAWN)
