"""What lists are asked for: words, and keys with a value; read once, and told of each row by what it is found by."""

import re
from collections.abc import Collection, Mapping
from datetime import date, timedelta
from functools import cached_property
from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.item_states import ItemState
from appreg.core.values.outcomes import Outcome
from appreg.core.values.searched_words import begins_in, words_of
from appreg.errors import QueryRefused

LONGEST_QUERY: Final = 200
"""Characters that are looked at."""
NEVER: Final = "never inspected"
"""Stands for the outcome of an item that was never inspected."""
ITEM_TEXTS: Final = ("tag", "name", "make", "model", "serial", "site", "location", "category")
"""What of an item holds words, each a key too."""
_CHOSEN: Final = ("state", "outcome", "class", "type")
_DUE: Final = "due"
ITEM_KEYS: Final = (*ITEM_TEXTS, *_CHOSEN, _DUE)
"""Every key that a list of items knows."""
ALSO_CALLED: Final = {"item": "name"}
"""What a key is called beside its name, where the list has no column of that name."""

EXAMPLES: Final = {
    "tag": "hr7",
    "name": "kettle",
    "make": "arden",
    "model": "k2",
    "serial": "4711",
    "site": "oak",
    "location": '"plant room"',
    "category": "kettle",
    "state": "withdrawn",
    "outcome": "fail",
    "class": "I",
    "type": "portable",
    _DUE: "<30",
}
"""What could stand behind each key."""


class Words(Struct, frozen=True):
    """Words that stand side by side in a text of the row, the last of them as the start of a word."""

    text: str
    """As typed, without its quotes."""
    key: str = ""
    """The text they stand in; empty: any."""

    @property
    def words(self) -> list[str]:
        """As they are searched for; none where no letter and no figure is among them: they are looked for as typed."""
        return words_of(self.text)


class Among(Struct, frozen=True):
    """One of some answers of a closed question."""

    key: str
    members: frozenset[str]


class DueWithin(Struct, frozen=True):
    """The earliest day that is waited for lies between two days, both included: of an item its next date while in service."""

    first: date | None = None
    last: date | None = None

    def holds(self, due: date | None) -> bool:
        """Tell whether a date lies there."""
        return due is not None and (self.first is None or due >= self.first) and (self.last is None or due <= self.last)


class CountWithin(Struct, frozen=True):
    """A count of the row that lies between two numbers, both included."""

    key: str
    least: int | None = None
    most: int | None = None

    def holds(self, count: int | None) -> bool:
        """Tell whether a count lies there."""
        return (
            count is not None
            and (self.least is None or count >= self.least)
            and (self.most is None or count <= self.most)
        )


class ListQuery(Struct, frozen=True, kw_only=True, dict=True):
    """Everything that must hold of a row."""

    words: tuple[Words, ...] = ()
    among: tuple[Among, ...] = ()
    due: tuple[DueWithin, ...] = ()
    counts: tuple[CountWithin, ...] = ()
    today: date
    soon: date
    """Up to this day something is due soon."""

    def __bool__(self) -> bool:
        """Tell whether it asks for anything."""
        return bool(self.words or self.among or self.due or self.counts)

    @cached_property
    def free_words(self) -> tuple[Words, ...]:
        """Those that may stand in any text."""
        return tuple(each for each in self.words if not each.key)

    @cached_property
    def whole_tag(self) -> str:
        """Several free words as one, for they may be a tag typed with blanks, say hr 7; empty where there are none."""
        return " ".join(each.text for each in self.free_words) if len(self.free_words) > 1 else ""


_PART: Final = r'(?:([A-Za-z][A-Za-z_-]*):)?(?:"([^"]*)"?|(\S+))?'
_DAYS: Final = r"(<=|>=|<|>|=|)\s*(-?[0-9]{1,6})"


def parse_query(
    text: str,
    *,
    today: date,
    within_days: int = 30,
    keys: Collection[str] = ITEM_KEYS,
    items: bool = True,
    counts: Collection[str] = (),
) -> ListQuery:
    """Read what was typed; raises QueryRefused for a key that the list has not, and for a value that cannot be.

    `keys` are those of the list; `items`: its rows are items, of which state, outcome, class, type and due are known;
    `counts`: those of the keys that are counts.
    """
    words: list[Words] = []
    among: list[Among] = []
    due: list[DueWithin] = []
    counted: list[CountWithin] = []
    for key, value in _parts(text):
        named = ALSO_CALLED.get(key, key) if key not in keys else key
        if key and named not in keys:
            raise QueryRefused(
                f"There is no key “{key}” here, but {', '.join(keys)}; put quotes around a word that holds a colon."
            )
        if key and not value.strip():
            example = EXAMPLES.get(named, "something")
            raise QueryRefused(f"“{key}:” says nothing yet: write on, such as {key}:{example}.")
        if items and named in _CHOSEN:
            among.append(Among(named, _members(named, value)))
        elif items and named == _DUE:
            due.append(_due_within(value, today))
        elif named in counts:
            counted.append(_count_within(named, value))
        elif value.strip():
            words.append(Words(value.strip(), named))
    soon = date.fromordinal(min(today.toordinal() + within_days, date.max.toordinal()))
    return ListQuery(
        words=tuple(words), among=tuple(among), due=tuple(due), counts=tuple(counted), today=today, soon=soon
    )


def only_words(text: str, *, today: date = date.min) -> ListQuery:
    """What was typed as words alone, whatever they hold."""
    return ListQuery(words=tuple(Words(word) for word in _plain(text).split()), today=today, soon=today)


def _plain(text: str) -> str:
    return "".join(each if each.isprintable() else " " for each in text[:LONGEST_QUERY])


def _parts(text: str) -> list[tuple[str, str]]:
    found = re.finditer(_PART, _plain(text))
    return [((each[1] or "").lower(), each[2] or each[3] or "") for each in found if each[0]]


_SPOKEN: Final[Mapping[str, Mapping[str, str]]] = {
    "state": {each.value: each.value for each in ItemState},
    "outcome": {**{each.value: each.value for each in Outcome}, NEVER: NEVER},
    "type": {each.value: f"{each.value} {each.label}" for each in EquipmentType},
}
"""The answers of a closed question, each with the words it is found by."""
_PAST: Final = {"passed": Outcome.PASS.value, "failed": Outcome.FAIL.value}
_CLASSES: Final = {
    name: each.value
    for each, names in {
        ApplianceClass.CLASS_I: ("1", "i"),
        ApplianceClass.CLASS_II: ("2", "ii"),
        ApplianceClass.CLASS_III: ("3", "iii"),
        ApplianceClass.UNKNOWN: ("unknown", "not known"),
    }.items()
    for name in names
}


def _members(key: str, value: str) -> frozenset[str]:
    words = words_of(value)
    if key == "class":
        name = " ".join(words[1:] if words[:1] == ["class"] else words)
        if name not in _CLASSES:
            raise QueryRefused(f"class: “{value}” is none; there are I, II, III and unknown.")
        return frozenset({_CLASSES[name]})
    if key == "outcome" and value.lower() in _PAST:
        return frozenset({_PAST[value.lower()]})
    found = frozenset(each for each, spoken in _SPOKEN[key].items() if words and begins_in(words, _said(spoken)))
    if not found:
        raise QueryRefused(f"{key}: “{value}” is none; there are {', '.join(_SPOKEN[key])}.")
    return found


def _said(spoken: str) -> str:
    return " ".join(words_of(spoken))


def _due_within(value: str, today: date) -> DueWithin:
    typed = re.fullmatch(_DAYS, value.strip())
    if typed is None:
        raise QueryRefused(f"due: “{value}” is no number of days; write due:<30, due:>7 or, for overdue, due:<0.")
    sign, days = typed[1], int(typed[2])
    if sign in {"<", ">"}:
        days += 1 if sign == ">" else -1
    day = _day_off(today, days)
    if sign in {">", ">="}:
        return DueWithin(first=day)
    return DueWithin(first=day if sign == "=" else None, last=day)


def _count_within(key: str, value: str) -> CountWithin:
    typed = re.fullmatch(_DAYS, value.strip())
    if typed is None:
        raise QueryRefused(f"{key}: “{value}” is no number; write {key}:>0, {key}:<5 or {key}:3.")
    sign, count = typed[1], int(typed[2])
    if sign in {">", ">="}:
        return CountWithin(key, least=count + (sign == ">"))
    if sign in {"<", "<="}:
        return CountWithin(key, most=count - (sign == "<"))
    return CountWithin(key, least=count, most=count)


def _day_off(today: date, days: int) -> date:
    try:
        return today + timedelta(days=days)
    except OverflowError:
        return date.max if days > 0 else date.min
