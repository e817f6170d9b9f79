"""Which items of a visit are read again after something was saved: those it happened to, or all where the walk changed."""

from datetime import timedelta

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import AssetTag, Record
from appreg.core.records.work_records import NotInspectedBecause
from appreg.register.history.journal import journal_end
from appreg.tasks.inspecting.follow_visit import items_to_read_again
from appreg.tasks.inspecting.record_not_inspected import record_not_inspected
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


class _Followed:
    """A visit with the items that are known of it."""

    def __init__(self, here: WorkedSite) -> None:
        self.here = here
        self.items = [here.kettle() for _ in range(3)]
        self.visit = here.visit().uid
        self._end = journal_end(here.register)

    def since_then(self) -> list[int] | None:
        """The places of the items to be read again since this was last asked; None: the whole walk."""
        uids = [each.uid for each in self.items]
        end, self._end = self._end, journal_end(self.here.register)
        found = items_to_read_again(self.here.register, self.visit, uids, end)
        return None if found is None else sorted(map(uids.index, found))

    def put(self, record: Record) -> None:
        """Save a record as it is."""
        with self.here.register.change(WHO) as change:
            change.put(record)


def test_what_happens_to_an_item_leads_to_that_item(here: WorkedSite) -> None:
    followed = _Followed(here)
    first, second, third = followed.items
    assert followed.since_then() == []
    incomplete = here.record(first, combined(functional=False), here.visit(TODAY - timedelta(days=2)))
    assert followed.since_then() == [0]
    take_back_inspection(here.register, WHO, incomplete.inspection.uid)
    assert followed.since_then() == [0]
    record_not_inspected(
        here.register, WHO, appliance=second.uid, visit=followed.visit, because=NotInspectedBecause.REFUSED
    )
    assert followed.since_then() == [1]
    followed.put(replace(here.again(third), state=ServiceState.DISPOSED))
    assert followed.since_then() == [2]


def test_what_changes_the_walk_has_all_of_it_read_again(here: WorkedSite) -> None:
    followed = _Followed(here)
    here.kettle()
    assert followed.since_then() is None
    room = add_location(here.register, WHO, site=here.site.uid, name="Attic")
    assert followed.since_then() is None
    followed.put(replace(here.again(followed.items[0]), location=room.uid))
    assert followed.since_then() is None
    followed.put(replace(here.again(followed.items[1]), tag=AssetTag("HR-900")))
    assert followed.since_then() is None
    followed.put(replace(here.instrument, accuracy="insulation: 10 %"))
    assert followed.since_then() is None


def test_what_happens_at_another_site_leads_nowhere(here: WorkedSite) -> None:
    followed = _Followed(here)
    far = add_site(here.register, WHO, client=here.client.uid, name="Hill Road 2", prefix="HI", environment="low-risk")
    room = add_location(here.register, WHO, site=far.uid, name="Hall")
    followed.since_then()
    item = add_appliance(here.register, WHO, site=far.uid, location=room.uid, name="Kettle")
    person, instrument = here.person.uid, here.instrument.uid
    visit = start_visit(here.register, WHO, site=far.uid, on=TODAY, person=person, instrument=instrument)
    here.record(item, combined(), visit)
    assert followed.since_then() == []
