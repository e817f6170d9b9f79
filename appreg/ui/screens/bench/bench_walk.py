"""The way through the items of a visit: which comes first, which next, how many are left."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import overload

from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.open_bench import Recorded, VisitItem


class Walk(Sequence[VisitItem]):
    """The items of a visit in the order of the walk; finding one takes no longer where there are a thousand."""

    __slots__ = ("_items", "_places")

    def __init__(self, items: Iterable[VisitItem] = (), *, places: Mapping[Uid, int] | None = None) -> None:
        """`places`: where each stands, by its key, where that is known already."""
        self._items = [*items]
        if places is None:
            places = {each.appliance.uid: place for place, each in enumerate(self._items)}
        self._places = places

    def __len__(self) -> int:
        """Count the items."""
        return len(self._items)

    def __iter__(self) -> Iterator[VisitItem]:
        """Go through them."""
        return iter(self._items)

    @overload
    def __getitem__(self, place: int) -> VisitItem: ...
    @overload
    def __getitem__(self, place: slice) -> list[VisitItem]: ...
    def __getitem__(self, place: int | slice) -> VisitItem | list[VisitItem]:
        """Return the item in a place, or those in a stretch."""
        return self._items[place]

    def place_of(self, uid: Uid) -> int:
        """The place of an item, -1 where it is not part of the walk."""
        return self._places.get(uid, -1)

    def item(self, uid: Uid) -> VisitItem | None:
        """An item of the walk; None where it is no part of it."""
        place = self.place_of(uid)
        return self._items[place] if place >= 0 else None

    def with_item(self, uid: Uid, now: VisitItem | None) -> "Walk":
        """The walk with one of its items as it is now; without it where it is none of them any more."""
        place, items = self.place_of(uid), [*self._items]
        if place < 0:
            return self
        if now is None:
            return Walk([*items[:place], *items[place + 1 :]])
        items[place] = now
        return Walk(items, places=self._places)


def first_to_do(items: Iterable[VisitItem]) -> Uid | None:
    """The first item not yet inspected on this visit, and not said to be out of reach."""
    return next((each.appliance.uid for each in items if each.inspection is None and not each.not_inspected), None)


def next_to_do(walk: Walk, after: Uid) -> Uid | None:
    """The next item not yet inspected, from the top again after the last."""
    place, count = walk.place_of(after), len(walk)
    return first_to_do(walk[(place + step) % count] for step in range(1, count + (place < 0)))


def neighbour(walk: Walk, of: Uid, by: int) -> Uid | None:
    """The item so many places on in the walk, done or not; None beyond the ends."""
    place = walk.place_of(of) + by
    return walk[place].appliance.uid if 0 <= place < len(walk) else None


def counts_of(items: Sequence[VisitItem]) -> dict[Outcome | None, int]:
    """How many items came to each outcome; None: not yet inspected, those left out that cannot be."""
    return Counter(each.inspection.outcome if each.inspection else None for each in items if not each.not_inspected)


def inspection_in(walk: Walk, uid: Uid) -> Recorded | None:
    """What was recorded of an item on this visit."""
    found = walk.item(uid)
    return found.inspection if found is not None else None


def last_kept(items: Sequence[VisitItem], here: Sequence[Uid] = ()) -> Uid | None:
    """The inspection kept last on this bench, where one of `here` still stands; else the one saved last on this visit."""
    standing = {each.inspection.uid for each in items if each.inspection is not None}
    own = next((uid for uid in reversed(here) if uid in standing), None)
    if own is not None:
        return own
    last = max(items, key=lambda each: each.saved, default=None)
    return last.inspection.uid if last is not None and last.inspection is not None else None
