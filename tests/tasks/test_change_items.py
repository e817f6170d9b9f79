from pathlib import Path

import pytest

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.core.values.uids import Uid
from appreg.errors import NotFound
from appreg.progress import Stopped
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.change_record import move_items
from appreg.tasks.records.set_service_state import set_many_states
from tests.ui.list_register import build_register, tagged


def test_a_stopped_change_of_many_items_changes_none(tmp_path: Path) -> None:
    with build_register(tmp_path / "stop.appreg") as register:
        attic = add_location(register, "test", site=tagged(register, "HR-001").site, name="Attic")
        before = register.find(Appliance)
        uids = [item.uid for item in before]
        with pytest.raises(Stopped, match="after 3 of 12"):
            move_items(register, "test", appliances=uids, location=attic.uid, progress=lambda done, _total: done < 3)
        assert register.find(Appliance) == before


def test_an_item_moved_to_another_environment_gets_the_dates_of_that_place(tmp_path: Path) -> None:
    with build_register(tmp_path / "move.appreg") as register:
        before = tagged(register, "KL-003")
        flat = tagged(register, "HR-001").location
        assert move_items(register, "test", appliances=[before.uid], location=flat) == 1
        after = tagged(register, "KL-003")
        assert after.next_visual == tagged(register, "HR-003").next_visual != before.next_visual


def test_one_unknown_item_leaves_all_as_they_were(tmp_path: Path) -> None:
    with build_register(tmp_path / "unknown.appreg") as register:
        first = tagged(register, "KL-001")
        with pytest.raises(NotFound):
            set_many_states(
                register, "test", appliances=[first.uid, Uid("0" * 26)], state=ServiceState.MISSING, reason="gone"
            )
        assert tagged(register, first.tag) == first
