import random
from array import array
from collections.abc import Iterator
from datetime import date, timedelta

import pytest

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.outcomes import Outcome
from appreg.register.engine.places import Place
from appreg.register.lists.due_lists import due_seats
from appreg.register.lists.row_windows import (
    ITEM_COLUMNS,
    RowFilter,
    ordered_rowids,
    rowid_of,
    rows_by_rowid,
    uids_by_rowid,
)
from appreg.register.opening.register_file import Register, open_register
from tests.register.sample_register import item, small_estate

TODAY = date(2026, 11, 24)


@pytest.fixture(scope="module")
def estate(shared_place: Place) -> Iterator[Register]:
    chance = random.Random(7)
    register = open_register(shared_place)
    sites = small_estate(register, sites=3)

    def some_day() -> date | None:
        return chance.choice([None, TODAY + timedelta(days=chance.randrange(-100, 400))])

    with register.change("Sam") as change:
        change.put_many(
            item(
                register, chance.choice(sites), f"T-{number:03}", name=chance.choice(["Lamp", "kettle", "Drill", "=1+1"]),
                appliance_class=chance.choice(list(ApplianceClass)), equipment_type=chance.choice(list(EquipmentType)),
                state=chance.choice(list(ServiceState)), last_outcome=chance.choice([None, *Outcome]),
                last_date=some_day(), next_visual=some_day(), next_test=some_day(),
            )
            for number in chance.sample(range(990, 1300), 300)
        )  # fmt: skip
    yield register
    register.close()


def _text(value: object) -> str:
    return "" if value is None else str(value)


def _row(register: Register, appliance: Appliance) -> tuple[str, ...]:
    return (
        appliance.tag, appliance.name, appliance.appliance_class.label, appliance.equipment_type.label,
        register.get(Site, appliance.site).name, register.get(Location, appliance.location).name,
        _text(appliance.last_date), _text(appliance.last_outcome), _text(appliance.next_visual),
        _text(appliance.next_test), appliance.state,
    )  # fmt: skip


def test_a_window_shows_the_rows_at_its_seats_in_their_order(estate: Register) -> None:
    appliances = sorted(estate.find(Appliance), key=lambda appliance: tag_order(appliance.tag))
    seats = ordered_rowids(estate)
    assert isinstance(seats, array)
    assert rows_by_rowid(estate, seats) == [_row(estate, appliance) for appliance in appliances]
    turned = list(reversed(seats[10:74]))
    assert rows_by_rowid(estate, turned) == list(reversed(rows_by_rowid(estate, seats[10:74])))
    assert uids_by_rowid(estate, turned) == [appliance.uid for appliance in reversed(appliances[10:74])]
    assert rowid_of(estate, appliances[5].uid) == seats[5]
    assert ordered_rowids(estate, limit=7) == seats[:7]


@pytest.mark.parametrize("column", ITEM_COLUMNS)
@pytest.mark.parametrize("descending", [False, True])
def test_items_are_sorted_by_any_column_with_the_absent_last(column: str, descending: bool, estate: Register) -> None:
    seats = ordered_rowids(estate, sort=column, descending=descending)
    assert sorted(seats) == sorted(ordered_rowids(estate))
    values = [row[ITEM_COLUMNS.index(column)] for row in rows_by_rowid(estate, seats)]
    present = [value for value in values if value]
    assert values[len(present) :] == [""] * (len(values) - len(present))
    key = {
        "class": {member.label: member.value for member in ApplianceClass},
        "type": {member.label: member.value for member in EquipmentType},
    }.get(column, {})
    keys = [tag_order(value) if column == "tag" else key.get(value, value).lower() for value in present]
    assert keys == sorted(keys, reverse=descending)


def _kept(wanted: RowFilter, appliance: Appliance) -> bool:
    return (
        wanted.site in {None, appliance.site}
        and wanted.location in {None, appliance.location}
        and (wanted.states is None or appliance.state in wanted.states)
        and wanted.outcome in {None, appliance.last_outcome}
        and (not wanted.never or (appliance.last_date is None and appliance.state is ServiceState.IN_SERVICE))
    )


def test_a_filter_keeps_exactly_what_it_names(estate: Register) -> None:
    appliances = sorted(estate.find(Appliance), key=lambda appliance: tag_order(appliance.tag))
    site = estate.find(Site)[1].uid
    location = estate.find(Location, site=site)[0].uid
    for wanted in (
        RowFilter(site=site),
        RowFilter(location=location),
        RowFilter(site=site, location=location, states=(ServiceState.MISSING, ServiceState.DISPOSED)),
        RowFilter(outcome=Outcome.FAIL),
        RowFilter(never=True),
        RowFilter(site=site, outcome=Outcome.PASS),
        RowFilter(states=()),
    ):
        expected = [appliance.uid for appliance in appliances if _kept(wanted, appliance)]
        assert uids_by_rowid(estate, ordered_rowids(estate, filter=wanted)) == expected
    assert list(ordered_rowids(estate, filter=RowFilter(category=site))) == []


def test_the_due_list_has_a_seat_for_each_date_earliest_first(estate: Register) -> None:
    until = TODAY + timedelta(days=30)
    expected = sorted(
        (str(due), tag_order(appliance.tag), test, appliance.uid)
        for appliance in estate.find(Appliance, state=ServiceState.IN_SERVICE)
        for test, due in enumerate((appliance.next_visual, appliance.next_test))
        if due is not None and due <= until
    )
    seats = due_seats(estate, until=until)
    assert [seat % 2 for seat in seats] == [test for _, _, test, _ in expected]
    assert uids_by_rowid(estate, [seat // 2 for seat in seats]) == [uid for *_, uid in expected]
    assert due_seats(estate, until=until, limit=7) == seats[:7]


def test_a_seat_whose_item_is_gone_shows_an_empty_row(estate: Register) -> None:
    assert rows_by_rowid(estate, [10**6]) == [("",) * len(ITEM_COLUMNS)]
    assert uids_by_rowid(estate, [10**6]) == []
    assert rowid_of(estate, estate.new_uid()) is None


def test_a_column_that_is_not_there_cannot_be_sorted_by(estate: Register) -> None:
    with pytest.raises(ValueError, match="colour"):
        ordered_rowids(estate, sort="colour")
