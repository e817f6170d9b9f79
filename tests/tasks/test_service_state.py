"""Taking items out of use and back."""

from datetime import date
from pathlib import Path

import pytest

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Instrument, Person, Site, Visit
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.start_visit import cautions_for, start_visit
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.set_service_state import set_service_state
from appreg.tasks.standing.queue_labels import waiting_labels
from tests.register.journal_alone import last_change
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site


def test_the_reason_joins_the_notes_and_the_journal(here: WorkedSite) -> None:
    item = set_service_state(
        here.register, WHO, appliance=here.kettle().uid, state=ServiceState.MISSING, reason="lent out"
    )
    assert (item.state, item.notes) == (ServiceState.MISSING, "missing: lent out")
    change = last_change(here.register)
    assert change is not None
    assert (change.who, change.reason) == (WHO, "lent out")


def test_a_disposed_items_label_leaves_the_tray(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined())
    set_service_state(here.register, WHO, appliance=kettle.uid, state=ServiceState.DISPOSED)
    assert waiting_labels(here.register, today=TODAY) == ()


def test_an_item_that_did_not_fail_may_return(here: WorkedSite) -> None:
    kettle = here.kettle()
    for state in (ServiceState.WITHDRAWN, ServiceState.IN_SERVICE):
        assert set_service_state(here.register, WHO, appliance=kettle.uid, state=state).state is state


def visit_cautions(register: Register, visit: Visit) -> list[str]:
    """What is said before the work of a visit."""
    tool = register.get(Instrument, visit.instrument) if visit.instrument else None
    person, site = register.get(Person, visit.person), register.get(Site, visit.site)
    return cautions_for(on=visit.date, person=person, instrument=tool, site=site)


@pytest.mark.parametrize(
    ("due", "said"),
    [
        (date(2026, 11, 23), "lapsed on 23 Nov 2026"),
        (date(2026, 11, 24), "falls due on 24 Nov 2026"),
        (date(2026, 12, 24), "falls due on 24 Dec 2026"),
        (None, "No calibration date is recorded"),
    ],
)
def test_calibration_is_said_before_the_visit(here: WorkedSite, due: date | None, said: str) -> None:
    tool = add_instrument(here.register, WHO, name="Old tester", serial="9", calibration_due=due)
    visit = start_visit(here.register, WHO, site=here.site.uid, on=TODAY, person=here.person.uid, instrument=tool.uid)
    assert said in visit_cautions(here.register, visit)[0]


def test_a_calibrated_instrument_and_a_qualified_person_leave_only_the_standing_caution(here: WorkedSite) -> None:
    (caution,) = visit_cautions(here.register, here.visit())
    assert "Local codes" in caution


def test_no_instrument_and_no_qualifications_are_said(tmp_path: Path) -> None:
    with worked_site(tmp_path, qualifications="") as here:
        visit = start_visit(here.register, WHO, site=here.site.uid, on=TODAY, person=here.person.uid)
        said = visit_cautions(here.register, visit)
    assert "No instrument is named" in said[0]
    assert "competent persons" in said[1]
