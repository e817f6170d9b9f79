"""The names of sites, locations and categories, by which their items are found: few beside the items, and looked at in Python."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from msgspec import Struct

from appreg.core.records.list_queries import Words
from appreg.core.values.searched_words import begins_in, searched_words, small_ascii
from appreg.register.opening.register_file import Register

_ASKED: Final = {
    "site": "SELECT uid, name, prefix FROM site",
    "location": "SELECT uid, name FROM location",
    "category": "SELECT uid, name, code FROM category",
}


class PlaceNames(Struct, frozen=True):
    """What each kind of place is called, with the keys of those called so."""

    _named: dict[str, dict[tuple[str, ...], list[str]]]

    @classmethod
    def of(cls, register: Register) -> "PlaceNames":
        """Read them."""
        named: dict[str, dict[tuple[str, ...], list[str]]] = {}
        for kind, statement in _ASKED.items():
            named[kind] = {}
            for uid, *texts in register.rows(statement):
                named[kind].setdefault(tuple(map(str, texts)), []).append(uid)
        return cls(named)

    def called(self, kind: str, asked: Words, *, anywhere: bool) -> list[str]:
        """The keys of those of a kind whose name holds the words."""
        words = asked.words
        return [
            uid
            for texts, uids in self._named[kind].items()
            if (_contains(asked.text, texts) if anywhere or not words else begins_in(words, _searched(texts)))
            for uid in uids
        ]


def _contains(text: str, texts: Sequence[str]) -> bool:
    wanted = small_ascii(text)
    return any(wanted in small_ascii(each) for each in texts)


@lru_cache(20_000)
def _searched(texts: tuple[str, ...]) -> str:
    return searched_words(*texts)
