"""What a row of a list is found by, and whether it answers a query: the same meaning that the register's search has."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from functools import cached_property
from typing import TypeVar

from msgspec import Struct

from appreg.core.records.appliances import ServiceState
from appreg.core.records.item_states import ItemState
from appreg.core.records.list_queries import Among, ListQuery, Words
from appreg.core.values.asset_tags import loosely_typed, without_separators
from appreg.core.values.outcomes import Outcome
from appreg.core.values.searched_words import begins_in, searched_words, small_ascii

Row = TypeVar("Row")


class ItemStanding(Struct, frozen=True, kw_only=True):
    """What closed questions ask of an item."""

    state: str
    """Of service."""
    outcome: str
    """The latest, or NEVER."""
    inspected: bool
    appliance_class: str
    equipment_type: str
    due: date | None
    """The earliest day that is waited for: of an inspection while in service, of a repair also while withdrawn."""


class SearchedRow(Struct, frozen=True, kw_only=True, dict=True):
    """The texts of a row by key, and what is known of its item where it has one."""

    texts: Mapping[str, tuple[str, ...]]
    item: ItemStanding | None = None
    counts: Mapping[str, int] = {}
    """By key; one that is not known is left out."""

    @cached_property
    def _every_word(self) -> str:
        return searched_words(*(text for texts in self.texts.values() for text in texts))

    @cached_property
    def _every_text(self) -> str:
        return "\n".join(small_ascii(text) for texts in self.texts.values() for text in texts)

    def answers(self, query: ListQuery, *, anywhere: bool = False) -> bool:
        """Tell whether all of a query holds; `anywhere`: words may also stand within a word."""
        return (
            self._has_words(query, anywhere=anywhere)
            and all(self._is_among(each, query) for each in query.among)
            and all(self.item is not None and each.holds(self.item.due) for each in query.due)
            and all(each.holds(self.counts.get(each.key)) for each in query.counts)
        )

    def _has_words(self, query: ListQuery, *, anywhere: bool) -> bool:
        return all(self._has(each, anywhere=anywhere) for each in query.words if each.key) and (
            all(self._has(each, anywhere=anywhere) for each in query.free_words) or self._is_tagged(query.whole_tag)
        )

    def _has(self, asked: Words, *, anywhere: bool) -> bool:
        words = asked.words
        if asked.key in {"", "tag"} and self._is_tagged(asked.text):
            return True
        if words and not anywhere:
            return begins_in(words, self._every_word if not asked.key else searched_words(*self._texts(asked.key)))
        whole = self._every_text if not asked.key else "\n".join(map(small_ascii, self._texts(asked.key)))
        return small_ascii(asked.text) in whole

    def _texts(self, key: str) -> tuple[str, ...]:
        return self.texts.get(key, ())

    def _is_tagged(self, text: str) -> bool:
        if not text or loosely_typed(text) is None:
            return False
        wanted = without_separators(text)
        return any(without_separators(tag) == wanted for tag in self._texts("tag"))

    def _is_among(self, asked: Among, query: ListQuery) -> bool:
        item = self.item
        if item is None:
            return False
        if asked.key == "state":
            return any(stands(item, ItemState(state), query) for state in asked.members)
        held = {"outcome": item.outcome, "class": item.appliance_class, "type": item.equipment_type}
        return held[asked.key] in asked.members


def stands(item: ItemStanding, state: ItemState, query: ListQuery) -> bool:
    """Tell whether an item is in a state, on the day of the query."""
    in_service, due = item.state == ServiceState.IN_SERVICE.value, item.due
    match state:
        case ItemState.OVERDUE:
            return in_service and due is not None and due < query.today
        case ItemState.DUE_SOON:
            return in_service and due is not None and query.today <= due <= query.soon
        case ItemState.NEVER:
            return in_service and not item.inspected
        case ItemState.FAILED:
            waits = in_service or item.state == ServiceState.WITHDRAWN.value
            return waits and item.outcome == Outcome.FAIL.value
        case _:
            return item.state == state.value.replace("-", " ")


def answering(rows: Iterable[Row], query: ListQuery, searched: Callable[[Row], SearchedRow]) -> list[Row]:
    """The rows that a query lets through; where no row has its words as the start of words, those with them anywhere."""
    every = list(rows)
    if not query:
        return every
    found = [row for row in every if searched(row).answers(query)]
    if found or not query.words:
        return found
    return [row for row in every if searched(row).answers(query, anywhere=True)]
