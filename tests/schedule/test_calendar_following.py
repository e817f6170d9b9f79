"""Plans followed into a calendar one after the other: whatever they are, it ends as the last, and no number ever falls."""

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.planning_records import CalendarEntry, CalendarKind
from appreg.core.values.uids import Uid, uid_from
from appreg.schedule.calendar_following import FollowedEntry, Known, WantedEntry, follow

SITES = (uid_from(0, 1), uid_from(0, 2))
TODAY = date(2027, 1, 4)
_DAYS = st.lists(st.tuples(st.sampled_from(SITES), st.integers(0, 700)), max_size=9)
"""Two visits to a site may fall on one day, of two crews say."""


class _Memory(Struct):
    """What a register remembers, and what stands in a calendar that took in each file."""

    entries: dict[str, CalendarEntry] = {}
    diary: dict[str, tuple[int, Uid, date, bool]] = {}

    def write(self, wanted: list[WantedEntry], known: Known) -> tuple[FollowedEntry, ...]:
        """Follow a plan, and take it in."""
        followed = follow(wanted, replace(known, entries=tuple(self.entries.values())))
        for each in followed:
            if each.wanted is None:
                assert each.before is not None
                self.entries[each.event] = replace(each.before, sequence=each.sequence, cancelled=True)
            else:
                self.entries[each.event] = CalendarEntry(
                    uid=each.before.uid if each.before else uid_from(0, 100 + len(self.entries)),
                    event=each.event, kind=each.wanted.kind, site=each.wanted.site, day=each.wanted.day,
                    sequence=each.sequence, content=each.wanted.content,
                )  # fmt: skip
            kept = self.entries[each.event]
            taken = self.diary.get(each.event, (0, kept.site, kept.day, False))
            # RFC 5546, 2.1.5 (published): the higher sequence holds; where nothing rose, nothing may differ.
            assert each.sequence > taken[0] or taken == (each.sequence, kept.site, kept.day, kept.cancelled)
            self.diary[each.event] = (each.sequence, kept.site, kept.day, kept.cancelled)
        return followed


def _wanted(days: list[tuple[Uid, int]]) -> list[WantedEntry]:
    return [
        WantedEntry(site=site, kind=CalendarKind.VISIT, day=TODAY + timedelta(days=day), content=f"{site} {day}")
        for site, day in days
    ]


@settings(max_examples=150, deadline=None)
@given(plans=st.lists(_DAYS, min_size=1, max_size=5))
def test_a_calendar_that_takes_in_each_plan_holds_the_last_one_and_nothing_else(
    plans: list[list[tuple[Uid, int]]],
) -> None:
    memory = _Memory()
    known = Known(entries=(), done={}, today=TODAY, start=TODAY)
    for days in plans:
        wanted = _wanted(days)
        followed = memory.write(wanted, known)
        assert len({each.event for each in followed}) == len(followed)
        live = sorted((site, day) for _, site, day, cancelled in memory.diary.values() if not cancelled)
        assert live == sorted((each.site, each.day) for each in wanted)
        # Written once more, nothing rises and nothing is cancelled.
        assert all(each.wanted is not None and not each.changes for each in memory.write(wanted, known))


@given(days=_DAYS, moved=st.integers(-20, 20))
def test_visits_that_all_move_by_some_days_stay_the_same_events(days: list[tuple[Uid, int]], moved: int) -> None:
    # Those of a site lie farther apart than they move, so that each has one that is nearest.
    apart = [(site, 100 * place + 50) for place, (site, _) in enumerate(days)]
    memory = _Memory()
    known = Known(entries=(), done={}, today=TODAY, start=TODAY)
    first = memory.write(_wanted(apart), known)
    second = memory.write(_wanted([(site, day + moved) for site, day in apart]), known)
    assert [each.event for each in second] == [each.event for each in first]
    assert {each.sequence for each in second} <= {1 if moved else 0}


def test_what_was_done_and_what_stands_before_the_plan_is_left() -> None:
    memory = _Memory()
    memory.write(
        _wanted([(SITES[0], 0), (SITES[0], 30), (SITES[0], 60)]), Known(entries=(), done={}, today=TODAY, start=TODAY)
    )
    done = {SITES[0]: {TODAY}}
    later = Known(entries=(), done=done, today=TODAY + timedelta(days=1), start=TODAY + timedelta(days=50))
    followed = memory.write([], later)
    assert [(each.before.day if each.before else None) for each in followed] == [TODAY + timedelta(days=60)]
    # A visit that nobody made, in the past by now, is gone too.
    missed = Known(entries=(), done=done, today=TODAY + timedelta(days=40), start=TODAY + timedelta(days=50))
    followed = memory.write([], missed)
    assert [(each.before.day if each.before else None) for each in followed] == [TODAY + timedelta(days=30)]
