"""The way through the items of a visit: which comes first, which next, how many are left."""

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import chain, islice

from appreg.core.records.kept_records import Inspection
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.open_bench import VisitItem


def first_to_do(items: Iterable[VisitItem]) -> Uid | None:
    """The first item not yet inspected on this visit, and not said to be out of reach."""
    return next((each.appliance.uid for each in items if each.inspection is None and not each.not_inspected), None)


def next_to_do(items: Sequence[VisitItem], after: Uid) -> Uid | None:
    """The next item not yet inspected, from the top again after the last."""
    place = place_of(items, after)
    return first_to_do(chain(islice(items, place + 1, None), islice(items, max(place, 0))))


def neighbour(items: Sequence[VisitItem], of: Uid, by: int) -> Uid | None:
    """The item so many places on in the walk, done or not; None beyond the ends."""
    place = place_of(items, of) + by
    return items[place].appliance.uid if 0 <= place < len(items) else None


def place_of(items: Sequence[VisitItem], uid: Uid) -> int:
    """The place of an item in the walk, -1 where it is not part of it."""
    return next((place for place, each in enumerate(items) if each.appliance.uid == uid), -1)


def counts_of(items: Sequence[VisitItem]) -> dict[Outcome | None, int]:
    """How many items came to each outcome; None: not yet inspected, those left out that cannot be."""
    return Counter(each.inspection.outcome if each.inspection else None for each in items if not each.not_inspected)


def item_in(items: Sequence[VisitItem], uid: Uid) -> VisitItem | None:
    """An item of the walk; None where it is no part of it."""
    return next((each for each in items if each.appliance.uid == uid), None)


def inspection_in(items: Sequence[VisitItem], uid: Uid) -> Inspection | None:
    """What was recorded of an item on this visit."""
    found = item_in(items, uid)
    return found.inspection if found is not None else None


def with_item(items: Sequence[VisitItem], uid: Uid, now: VisitItem | None) -> list[VisitItem]:
    """The items with one of them as it is now; without it where it is none of them any more."""
    place = place_of(items, uid)
    return [*items[:place], *([now] if now else []), *items[place + 1 :]] if place >= 0 else [*items]


def last_kept(items: Sequence[VisitItem], here: Sequence[Uid] = ()) -> Uid | None:
    """The inspection kept last on this bench, where one of `here` still stands; else the one saved last on this visit."""
    standing = {each.inspection.uid for each in items if each.inspection is not None}
    own = next((uid for uid in reversed(here) if uid in standing), None)
    if own is not None:
        return own
    last = max(items, key=lambda each: each.saved, default=None)
    return last.inspection.uid if last is not None and last.inspection is not None else None
