from collections.abc import Callable, Sequence
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Site
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.engine.places import Place
from appreg.register.lists.due_lists import (
    Counts,
    count_withdrawn,
    counts_by_site,
    due_by_month,
    due_rows,
    never_inspected,
)
from appreg.register.opening.register_file import Register, open_register
from tests.register.sample_register import item, small_estate

TODAY = date(2026, 11, 24)
SOON = TODAY + timedelta(days=30)
_DATES = (
    st.none() | st.dates(date(2026, 10, 1), date(2028, 1, 31)) | st.sampled_from([TODAY, SOON, SOON + timedelta(1)])
)
_ITEMS = st.lists(
    st.tuples(
        st.integers(0, 1), st.sampled_from(ServiceState), st.none() | st.sampled_from(Outcome), _DATES, _DATES
    ),
    max_size=30,
)  # fmt: skip
_Drawn = list[tuple[int, ServiceState, Outcome | None, date | None, date | None]]


def _put(register: Register, sites: list[Site], drawn: _Drawn) -> list[Appliance]:
    items = [
        item(
            register, sites[place], f"T-{number:03}", state=state, last_outcome=outcome, next_visual=visual,
            next_test=test, last_date=None if outcome is None else date(2026, 1, 1),
        )
        for number, (place, state, outcome, visual, test) in enumerate(drawn)
    ]  # fmt: skip
    with register.change("Sam") as change:
        change.put_many(items)
    return items


def _counted(items: Sequence[Appliance]) -> Counts:
    serving = [a for a in items if a.state is ServiceState.IN_SERVICE]

    def within(appliance: Appliance, last: date) -> bool:
        return any(due is not None and due <= last for due in (appliance.next_visual, appliance.next_test))

    overdue = [a for a in serving if within(a, TODAY - timedelta(1))]
    dates = [due for a in serving for due in (a.next_visual, a.next_test) if due is not None and due <= SOON]
    late = [due for due in dates if due < TODAY]
    return Counts(
        items=len([a for a in items if a.state is not ServiceState.DISPOSED]),
        in_service=len(serving),
        overdue=len(overdue),
        overdue_inspections=len(late),
        oldest_overdue=min(late, default=None),
        soon_inspections=len(dates) - len(late),
        soon=len([a for a in serving if within(a, SOON) and a not in overdue]),
        failed=len(
            [
                a
                for a in items
                if a.last_outcome is Outcome.FAIL and a.state in {ServiceState.IN_SERVICE, ServiceState.WITHDRAWN}
            ]
        ),
        never=len([a for a in serving if a.last_date is None]),
        withdrawn=len([a for a in items if a.state is ServiceState.WITHDRAWN]),
        disposed=len([a for a in items if a.state is ServiceState.DISPOSED]),
    )


def _months(items: Sequence[Appliance]) -> list[int]:
    counted = [0] * 12
    for appliance in items:
        if appliance.state is ServiceState.IN_SERVICE:
            dates = [due for due in (appliance.next_visual, appliance.next_test) if due is not None and due >= TODAY]
            for place in {(due.year - TODAY.year) * 12 + due.month - TODAY.month for due in dates}:
                if place < 12:
                    counted[place] += 1
    return counted


@given(drawn=_ITEMS)
@settings(max_examples=20, deadline=None)
def test_lists_and_counts_agree_with_counting_by_hand(drawn: _Drawn, new_place: Callable[[], Place]) -> None:
    with open_register(new_place()) as register:
        sites = small_estate(register, sites=3)
        items = _put(register, sites, drawn)
        by_site = {site.uid: [a for a in items if a.site == site.uid] for site in sites}
        assert counts_by_site(register, today=TODAY, soon=SOON) == {
            site: _counted(own) for site, own in by_site.items()
        }
        for site, own in by_site.items():
            assert counts_by_site(register, today=TODAY, soon=SOON, site=site) == {site: _counted(own)}
        assert due_by_month(register, TODAY) == {site: _months(own) for site, own in by_site.items()}
        expected = sorted(
            (due, a.tag, what)
            for a in items
            if a.state is ServiceState.IN_SERVICE
            for what, due in (("visual", a.next_visual), ("test", a.next_test))
            if due is not None and due <= SOON
        )
        rows = due_rows(register, until=SOON)
        assert sorted((due, a.tag, what) for a, what, due in rows) == expected
        assert [due for _, _, due in rows] == [due for due, _, _ in expected]
        assert [a for a, _, _ in due_rows(register, until=SOON, site=sites[0].uid)] == [
            a for a, _, _ in rows if a.site == sites[0].uid
        ]
        never = [a for a in items if a.state is ServiceState.IN_SERVICE and a.last_date is None]
        assert never_inspected(register) == never
        assert never_inspected(register, site=sites[1].uid) == [a for a in never if a.site == sites[1].uid]
        withdrawn = [a for a in items if a.state is ServiceState.WITHDRAWN]
        assert count_withdrawn(register) == len(withdrawn)
        assert count_withdrawn(register, site=sites[1].uid) == sum(a.site == sites[1].uid for a in withdrawn)


@pytest.mark.parametrize("test", [None, date(2026, 11, 10), date(2026, 11, 23), date(2026, 11, 26), date(2026, 12, 1)])
def test_a_look_is_counted_in_its_month_though_the_test_of_that_month_is_overdue(
    test: date | None, place: Place
) -> None:
    with open_register(place) as register:
        sites = small_estate(register)
        items = _put(register, sites, [(0, ServiceState.IN_SERVICE, Outcome.PASS, date(2026, 11, 28), test)])
        assert due_by_month(register, TODAY) == {sites[0].uid: _months(items)}
        assert _months(items)[0] == 1


def test_an_item_with_both_dates_late_stands_in_two_rows_but_counts_once(
    place: Place,
) -> None:
    with open_register(place) as register:
        (site,) = small_estate(register)
        late = TODAY - timedelta(1)
        _put(register, [site], [(0, ServiceState.IN_SERVICE, Outcome.PASS, late, late)])
        assert [(what, due) for _, what, due in due_rows(register, until=TODAY)] == [("visual", late), ("test", late)]
        counts = counts_by_site(register, today=TODAY, soon=SOON)[Uid(site.uid)]
        assert (counts.overdue, counts.soon) == (1, 0)
